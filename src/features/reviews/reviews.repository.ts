import { Injectable } from "@nestjs/common";
import type { Decision, ReviewState } from "../../core/lifecycle/run-lifecycle.js";
import type { Review } from "../../generated/prisma/client.js";
import { Database, type Transaction } from "../../platform/database/database.js";
import type { ReviewInput } from "./reviews.views.js";

export interface Claim {
  readonly moderatorId: string;
  readonly handle: string;
  readonly until: Date;
}

@Injectable()
export class ReviewsRepository {
  constructor(private readonly database: Database) {}

  /** Keeps a decision that counts, its words being in the record; what was proposed and claimed before is settled by it. */
  async create(
    tx: Transaction,
    runId: string,
    moderatorId: string,
    { decision, rules, independentOf }: ReviewInput,
    previousReview: ReviewState,
  ): Promise<Review> {
    await this.settle(tx, runId);
    const data = { runId, moderatorId, decision, rules, independentOf: independentOf ?? [], previousReview };
    return tx.review.create({ data });
  }

  async settle(tx: Transaction, runId: string): Promise<void> {
    await tx.reviewProposal.deleteMany({ where: { runId } });
    await tx.reviewClaim.deleteMany({ where: { runId } });
  }

  find(id: string): Promise<Review | null> {
    return this.database.review.findUnique({ where: { id } });
  }

  /** The newest decision on a run that counted. */
  latest(runId: string): Promise<Review | null> {
    return this.database.review.findFirst({ where: { runId }, orderBy: [{ createdAt: "desc" }, { id: "desc" }] });
  }

  /** Whether an account has a run that is or may be ranked in the class of a run: its protocol, chemistry and series. */
  async competes(accountId: string, runId: string): Promise<boolean> {
    const rows = await this.database.$queryRaw<object[]>`
      SELECT FROM run
      JOIN specimen ON specimen.id = run.specimen_id
      JOIN pack ON pack.id = specimen.pack_id
      JOIN run AS own ON own.tester_id = ${accountId}::uuid AND own.protocol_key = run.protocol_key
        AND own.review_state IN ('pending', 'info-requested', 'accepted')
      JOIN specimen AS own_specimen ON own_specimen.id = own.specimen_id
      JOIN pack AS own_pack ON own_pack.id = own_specimen.pack_id
        AND own_pack.chemistry = pack.chemistry AND own_pack.series = pack.series
      WHERE run.id = ${runId}::uuid LIMIT 1`;
    return rows.length > 0;
  }

  /** Whether another moderator would decide so too. */
  async isSeconded(runId: string, moderatorId: string, decision: Decision): Promise<boolean> {
    const where = { runId, decision, moderatorId: { not: moderatorId } };
    return (await this.database.reviewProposal.count({ where })) > 0;
  }

  async propose(tx: Transaction, runId: string, moderatorId: string, decision: Decision): Promise<{ id: string }> {
    const where = { runId_moderatorId: { runId, moderatorId } };
    return tx.reviewProposal.upsert({ where, create: { runId, moderatorId, decision }, update: { decision } });
  }

  /** Takes a run for a while; false while another moderator has it. */
  async claim(runId: string, moderatorId: string, minutes: number): Promise<boolean> {
    const taken = await this.database.$executeRaw`
      INSERT INTO review_claim AS present (run_id, moderator_id, until)
      VALUES (${runId}::uuid, ${moderatorId}::uuid, now() + make_interval(mins => ${minutes}::int))
      ON CONFLICT (run_id) DO UPDATE SET moderator_id = excluded.moderator_id, until = excluded.until
      WHERE present.until <= now() OR present.moderator_id = excluded.moderator_id`;
    return taken === 1;
  }

  async release(runId: string, moderatorId: string): Promise<void> {
    await this.database.reviewClaim.deleteMany({ where: { runId, moderatorId } });
  }

  /** Who has a run now; null when nobody has. */
  async claimOf(runId: string): Promise<Claim | null> {
    const select = { moderatorId: true, until: true, moderator: { select: { handle: true } } } as const;
    const claim = await this.database.reviewClaim.findUnique({ where: { runId }, select });
    if (!claim || claim.until <= new Date()) return null;
    return { moderatorId: claim.moderatorId, handle: claim.moderator.handle, until: claim.until };
  }
}
