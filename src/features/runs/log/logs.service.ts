import { Injectable } from "@nestjs/common";
import type { Caller } from "../../../platform/auth/account.js";
import { Problem } from "../../../platform/problems/problem.js";
import { RunsService } from "../runs.service.js";
import { isPacked, MAGIC_BYTES } from "./is-packed.js";
import { LogsRepository } from "./logs.repository.js";
import type { StoredLog } from "./stored-log.js";

export { sendLog } from "./send-log.js";
export type { StoredLog } from "./stored-log.js";

@Injectable()
export class LogsService {
  constructor(
    private readonly runsService: RunsService,
    private readonly logsRepository: LogsRepository,
  ) {}

  /**
   * The log of a run that the caller may know to exist.
   *
   * @throws Problem `log-removed` when its bytes are not kept any more
   */
  async get(id: string, caller: Caller | null): Promise<StoredLog> {
    const run = await this.runsService.visible(id, caller);
    const { sha256, bytes, mediaType, fileName, removal } = await this.logsRepository.ofRun(run.id);
    if (removal) {
      const detail =
        "The log was refused, and its bytes are not kept any more. The run keeps its digest, and why it was refused.";
      throw new Problem("log-removed", detail, { extensions: { removedAt: removal.removedAt.toISOString() } });
    }
    return {
      bytes: Number(bytes),
      sha256: Buffer.from(sha256),
      mediaType,
      fileName,
      isPublic: run.review === "accepted",
      isPacked: async () => isPacked(await this.logsRepository.firstBytes(sha256, MAGIC_BYTES)),
      read: (range) => this.logsRepository.read(sha256, range),
    };
  }
}
