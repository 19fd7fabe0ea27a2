import { Injectable } from "@nestjs/common";
import type { Notice } from "../../generated/prisma/client.js";
import { Database } from "../../platform/database/database.js";

/** Reads why what notices tell of was done. The words are kept with the audit log alone, where they can be erased. */
@Injectable()
export class NoticeReasonsRepository {
  constructor(private readonly database: Database) {}

  /** Reasons that stand now, by the ids of the notices. */
  async of(notices: readonly Pick<Notice, "id" | "facts">[]): Promise<ReadonlyMap<string, string>> {
    return this.ofIds(notices.filter(({ facts }) => "reasonOf" in (facts as object)).map(({ id }) => id));
  }

  /** The same for notices of which only the ids are known. */
  async ofIds(ids: readonly string[]): Promise<ReadonlyMap<string, string>> {
    if (ids.length === 0) return new Map();
    const rows = await this.database.$queryRaw<{ id: string; text: string }[]>`
      SELECT notice.id::text, audit_reason.text FROM notice
      CROSS JOIN LATERAL (SELECT "position" FROM audit_log
        WHERE subject_kind = facts #>> '{reasonOf,kind}' AND subject_id = facts #>> '{reasonOf,id}'
          AND event = facts #>> '{reasonOf,event}' AND "position" > (facts #>> '{reasonOf,after}')::bigint
        ORDER BY "position" LIMIT 1) AS entry
      JOIN audit_reason USING ("position")
      WHERE notice.id = ANY(${[...ids]}::uuid[])`;
    return new Map(rows.map(({ id, text }) => [id, text]));
  }
}
