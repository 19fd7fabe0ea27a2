import { Injectable } from "@nestjs/common";
import type { Transaction } from "../../platform/database/database.js";
import type { ReviewInput } from "./reviews.views.js";

@Injectable()
export class ReviewsRepository {
  async create(
    tx: Transaction,
    runId: string,
    moderatorId: string,
    { decision, rules, note, independentOf }: ReviewInput,
  ) {
    return tx.review.create({
      data: { runId, moderatorId, decision, rules, note, independentOf: independentOf ?? [] },
    });
  }
}
