import { Injectable } from "@nestjs/common";
import type { Figure } from "../../core/model.js";
import type { Transaction } from "../../platform/database/database.js";
import { figureOfRow } from "../../platform/database/rows/figure-rows.js";
import { columnOfLoad } from "../../platform/database/rows/load-column.js";

/** A run's own figures, those that are no mere bounds. */
export interface FiguresOfRun {
  readonly runId: string;
  readonly uploadedAt: Date;
  readonly testerId: string;
  readonly packId: string;
  readonly protocolKey: string;
  /** What it was evaluated under. */
  readonly protocolVersion: number;
  readonly computationVersion: number;
  readonly figures: readonly Pick<Figure, "key" | "unit" | "basis" | "load" | "value" | "uncertainty" | "shared">[];
}

@Injectable()
export class RankingEffectsRepository {
  /** Null when the run was not evaluated. */
  async figuresOf(runId: string, tx: Transaction): Promise<FiguresOfRun | null> {
    const run = await tx.run.findUnique({
      where: { id: runId },
      include: {
        specimen: { select: { packId: true } },
        currentEvaluation: { include: { figures: { where: { bound: "none" } } } },
      },
    });
    const evaluation = run?.currentEvaluation;
    if (!evaluation) return null;
    return {
      runId,
      uploadedAt: run.createdAt,
      testerId: run.testerId,
      packId: run.specimen.packId,
      protocolKey: evaluation.protocolKey,
      protocolVersion: evaluation.protocolVersion,
      computationVersion: evaluation.computationVersion,
      figures: evaluation.figures.map(figureOfRow),
    };
  }

  /** How many packs other than one stand above a value at a load, whatever their class. */
  betterPacks(
    { protocolKey, packId }: Pick<FiguresOfRun, "protocolKey" | "packId">,
    { figure, load, sortValue }: { readonly figure: string; readonly load: number | null; readonly sortValue: number },
    tx: Transaction,
  ): Promise<number> {
    return tx.standing.count({
      where: { protocolKey, figure, load: columnOfLoad(load), packId: { not: packId }, sortValue: { gt: sortValue } },
    });
  }
}
