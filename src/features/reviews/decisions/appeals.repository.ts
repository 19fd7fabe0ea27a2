import { Injectable } from "@nestjs/common";
import { Database, type Transaction } from "../../../platform/database/database.js";

/** An appeal that nobody has decided on yet. */
export interface OpenAppeal {
  readonly runId: string;
  readonly since: Date;
  /** What its tester says; null where the text was erased. */
  readonly note: string | null;
  /** Whose rejection it is against. */
  readonly rejectedById: string | null;
  readonly rejectedBy: string | null;
}

@Injectable()
export class AppealsRepository {
  constructor(private readonly database: Database) {}

  /** By run; runs without an open appeal are left out. */
  async openOf(runIds: readonly string[]): Promise<Map<string, OpenAppeal>> {
    if (runIds.length === 0) return new Map();
    const rows = await this.database.$queryRaw<OpenAppeal[]>`
      SELECT run.id::text AS "runId", latest.at AS since, audit_reason.text AS note,
        account.id::text AS "rejectedById", account.handle AS "rejectedBy"
      FROM run
      CROSS JOIN LATERAL (SELECT position, at, event FROM audit_log
        WHERE subject_kind = 'run' AND subject_id = run.id::text AND event IN ('appeal', 'revoke-acceptance')
        ORDER BY position DESC LIMIT 1) AS latest
      LEFT JOIN audit_reason ON audit_reason.position = latest.position
      LEFT JOIN LATERAL (SELECT moderator_id FROM review
        WHERE review.run_id = run.id AND review.decision = 'reject' AND review.created_at <= latest.at
        ORDER BY created_at DESC, id DESC LIMIT 1) AS rejection ON true
      LEFT JOIN account ON account.id = rejection.moderator_id
      WHERE run.id = ANY(${[...runIds]}::uuid[]) AND run.appealed AND run.review_state IN ('pending', 'info-requested')
        AND latest.event = 'appeal'`;
    return new Map(rows.map((row) => [row.runId, row]));
  }

  /** Who can decide for want of a moderator, or appoint one. */
  async administrators(tx: Transaction): Promise<string[]> {
    const where = { role: "administrator", erasedAt: null, suspendedAt: null };
    return (await tx.account.findMany({ where, select: { id: true } })).map(({ id }) => id);
  }
}
