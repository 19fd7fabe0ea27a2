import { Injectable } from "@nestjs/common";
import { Database } from "../../platform/database/database.js";

/** Reads the reasons of notices from the audit log. */
@Injectable()
export class NoticeReasonsRepository {
  constructor(private readonly database: Database) {}

  /** Reasons that stand now, by the ids of the notices. */
  async find(ids: readonly string[]): Promise<ReadonlyMap<string, string>> {
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
