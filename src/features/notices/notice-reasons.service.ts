import { Injectable } from "@nestjs/common";
import type { Notice } from "../../generated/prisma/client.js";
import { NoticeReasonsRepository } from "./notice-reasons.repository.js";

/** Why what notices tell of was done. The words are kept with the audit log alone, where they can be erased. */
@Injectable()
export class NoticeReasons {
  constructor(private readonly noticeReasonsRepository: NoticeReasonsRepository) {}

  /** Reasons that stand now, by the ids of the notices. */
  of(notices: readonly Pick<Notice, "id" | "facts">[]): Promise<ReadonlyMap<string, string>> {
    return this.ofIds(notices.filter(({ facts }) => "reasonOf" in (facts as object)).map(({ id }) => id));
  }

  /** The same for notices of which only the ids are known. */
  ofIds(ids: readonly string[]): Promise<ReadonlyMap<string, string>> {
    return this.noticeReasonsRepository.find(ids);
  }
}
