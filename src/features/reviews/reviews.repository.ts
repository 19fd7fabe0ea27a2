import { Injectable } from "@nestjs/common";
import type { ReviewState } from "../../core/lifecycle/run-lifecycle.js";
import type { Review } from "../../generated/prisma/client.js";
import { Database, type Transaction } from "../../platform/database/database.js";
import { ProposalsRepository } from "./decisions/proposals.repository.js";
import { ClaimsRepository } from "./queue/claims.repository.js";
import type { ReviewInput } from "./reviews.views.js";

@Injectable()
export class ReviewsRepository {
  constructor(
    private readonly database: Database,
    private readonly claimsRepository: ClaimsRepository,
    private readonly proposalsRepository: ProposalsRepository,
  ) {}

  /** Keeps a decision that counts, its words being in the audit log; what was proposed and claimed before is settled by it. */
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
    await this.proposalsRepository.end(tx, runId);
    await this.claimsRepository.end(tx, runId);
  }

  find(id: string): Promise<Review | null> {
    return this.database.review.findUnique({ where: { id } });
  }

  /** The newest decision on a run that counted. */
  latest(runId: string): Promise<Review | null> {
    return this.database.review.findFirst({ where: { runId }, orderBy: [{ createdAt: "desc" }, { id: "desc" }] });
  }
}
