import { Injectable } from "@nestjs/common";
import type { Prisma } from "../../../generated/prisma/client.js";
import { Database } from "../../../platform/database/database.js";

const WITH_PARTS = {
  figures: true,
  findings: { orderBy: { position: "asc" } },
  adjustments: { orderBy: { position: "asc" } },
} satisfies Prisma.EvaluationInclude;

/** An evaluation with everything that it says. */
export type PastEvaluationRow = Prisma.EvaluationGetPayload<{ include: typeof WITH_PARTS }>;

@Injectable()
export class HistoryRepository {
  constructor(private readonly database: Database) {}

  /** Every evaluation of a run, the newest first. */
  evaluationsOf(runId: string): Promise<PastEvaluationRow[]> {
    const orderBy = [{ createdAt: "desc" as const }, { id: "desc" as const }];
    return this.database.evaluation.findMany({ where: { runId }, include: WITH_PARTS, orderBy });
  }

  /** An evaluation of a run; null when the run has none of this id. */
  find(runId: string, id: string): Promise<PastEvaluationRow | null> {
    return this.database.evaluation.findFirst({ where: { runId, id }, include: WITH_PARTS });
  }
}
