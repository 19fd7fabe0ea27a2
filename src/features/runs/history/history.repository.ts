import { Injectable } from "@nestjs/common";
import type { Prisma } from "../../../generated/prisma/client.js";
import { Database } from "../../../platform/database/database.js";
import { withBudgets } from "../../../platform/database/rows/figure-rows.js";
import { withOthers } from "../../../platform/database/rows/finding-rows.js";

const WITH_PARTS = {
  figures: true,
  budgets: true,
  findings: true,
  otherFindings: true,
  adjustments: { orderBy: { position: "asc" } },
} satisfies Prisma.EvaluationInclude;

/** An evaluation with everything that it says. */
type StoredEvaluation = Prisma.EvaluationGetPayload<{ include: typeof WITH_PARTS }>;
export type PastEvaluationRow = Omit<StoredEvaluation, "budgets" | "otherFindings">;

@Injectable()
export class HistoryRepository {
  constructor(private readonly database: Database) {}

  /** Every evaluation of a run, the newest first. */
  async evaluationsOf(runId: string): Promise<PastEvaluationRow[]> {
    const orderBy = [{ createdAt: "desc" as const }, { id: "desc" as const }];
    const found = await this.database.evaluation.findMany({ where: { runId }, include: WITH_PARTS, orderBy });
    return found.map(whole);
  }

  /** An evaluation of a run; null when the run has none of this id. */
  async find(runId: string, id: string): Promise<PastEvaluationRow | null> {
    const found = await this.database.evaluation.findFirst({ where: { runId, id }, include: WITH_PARTS });
    return found && whole(found);
  }
}

const whole = ({ budgets, figures, findings, otherFindings, ...evaluation }: StoredEvaluation): PastEvaluationRow => ({
  ...evaluation,
  findings: withOthers(evaluation.id, findings, otherFindings),
  figures: withBudgets(figures, budgets),
});
