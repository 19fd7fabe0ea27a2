import { Injectable } from "@nestjs/common";
import { Prisma } from "../../../generated/prisma/client.js";
import { Database } from "../../../platform/database/database.js";
import type { Window } from "../../../platform/paging/page.js";

export interface MadeDecisionRow {
  readonly id: string;
  readonly runId: string;
  readonly pack: string;
  readonly testerId: string;
  readonly tester: string;
  readonly moderatorId: string;
  readonly moderator: string;
  readonly decision: string;
  readonly rules: string[];
  readonly note: string | null;
  readonly createdAt: Date;
  readonly review: string;
  readonly isLatest: boolean;
}

export interface MadeDecisionsFilter {
  readonly moderatorId: string;
  readonly decision: string | null;
}

@Injectable()
export class MadeDecisionsRepository {
  constructor(private readonly database: Database) {}

  /** The newest first; the words of a reason are those of its entry in the audit log. */
  list(filter: MadeDecisionsFilter, { after, before, backward, take }: Window): Promise<MadeDecisionRow[]> {
    const where = Prisma.join(
      [
        conditionOf(filter),
        ...(after ? [Prisma.sql`review.id < ${after[0]}::uuid`] : []),
        ...(before ? [Prisma.sql`review.id > ${before[0]}::uuid`] : []),
      ],
      " AND ",
    );
    const order = backward ? Prisma.sql`ASC` : Prisma.sql`DESC`;
    return this.database.$queryRaw<MadeDecisionRow[]>`
      SELECT review.id::text, run.id::text AS "runId", concat(pack.maker, ' ', pack.name) AS pack, tester.id::text AS "testerId",
        tester.handle AS tester, moderator.id::text AS "moderatorId", moderator.handle AS moderator, review.decision,
        review.rules, said.text AS note, review.created_at AS "createdAt", run.review_state AS review,
        NOT EXISTS (SELECT FROM review AS later WHERE later.run_id = run.id
          AND (later.created_at, later.id) > (review.created_at, review.id)) AS "isLatest"
      FROM review
      JOIN run ON run.id = review.run_id
      JOIN pack ON pack.id = run.pack_id
      JOIN account AS tester ON tester.id = run.tester_id
      JOIN account AS moderator ON moderator.id = review.moderator_id
      LEFT JOIN LATERAL (SELECT audit_reason.text FROM audit_log LEFT JOIN audit_reason USING (position)
        WHERE subject_kind = 'run' AND subject_id = run.id::text AND event = review.decision AND actor_id = review.moderator_id
          AND at >= review.created_at - interval '1 second'
        ORDER BY audit_log.position LIMIT 1) AS said ON true
      WHERE ${where} ORDER BY review.id ${order} LIMIT ${take}::int`;
  }

  async count(filter: MadeDecisionsFilter): Promise<number> {
    const rows = await this.database.$queryRaw<{ count: number }[]>`
      SELECT count(*)::int AS count FROM review WHERE ${conditionOf(filter)}`;
    return rows[0]?.count ?? 0;
  }
}

function conditionOf({ moderatorId, decision }: MadeDecisionsFilter): Prisma.Sql {
  return Prisma.sql`review.moderator_id = ${moderatorId}::uuid AND (${decision}::text IS NULL OR review.decision = ${decision})`;
}
