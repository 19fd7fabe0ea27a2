import { Injectable } from "@nestjs/common";
import type { Transaction } from "../../platform/database/database.js";

/** A run's own figures, those that are no mere bounds. */
export interface FiguresOfRun {
  readonly testerId: string;
  readonly packId: string;
  readonly protocolKey: string;
  /** What it was evaluated under. */
  readonly protocolVersion: number;
  readonly computationVersion: number;
  readonly figures: readonly { figure: string; basis: string; value: number; uncertainty: number }[];
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
      testerId: run.testerId,
      packId: run.specimen.packId,
      protocolKey: evaluation.protocolKey,
      protocolVersion: evaluation.protocolVersion,
      computationVersion: evaluation.computationVersion,
      figures: evaluation.figures.map(({ key: figure, basis, value, uncertainty }) => ({
        figure,
        basis,
        value,
        uncertainty,
      })),
    };
  }

  /** How many packs other than one stand above a value, whatever their class. */
  async betterPacks(
    protocolKey: string,
    figure: string,
    packId: string,
    sortValue: number,
    tx: Transaction,
  ): Promise<number> {
    return tx.standing.count({
      where: { protocolKey, figure, packId: { not: packId }, sortValue: { gt: sortValue } },
    });
  }
}
