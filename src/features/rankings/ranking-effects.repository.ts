import { Injectable } from "@nestjs/common";
import type { Transaction } from "../../platform/database/database.js";
import type { RankedPack } from "./standings.repository.js";

/** A run's own figures, those that are no mere bounds. */
export interface FiguresOfRun {
  readonly testerId: string;
  readonly pack: RankedPack;
  readonly protocolKey: string;
  /** What it was evaluated under. */
  readonly protocolVersion: number;
  readonly computationVersion: string;
  readonly figures: readonly { figure: string; basis: string; value: number; uncertainty: number }[];
}

@Injectable()
export class RankingEffectsRepository {
  /** Null when the run was not evaluated. */
  async figuresOf(runId: string, tx: Transaction): Promise<FiguresOfRun | null> {
    const run = await tx.run.findUnique({
      where: { id: runId },
      include: {
        specimen: { include: { pack: true } },
        currentEvaluation: { include: { figures: { where: { bound: "none" } } } },
      },
    });
    const evaluation = run?.currentEvaluation;
    if (!evaluation) return null;
    return {
      testerId: run.testerId,
      pack: run.specimen.pack,
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

  /** How many other packs of a pack's chemistry and series stand above a value. */
  async betterPacks(
    protocolKey: string,
    figure: string,
    { id, chemistry, series }: RankedPack,
    sortValue: number,
    tx: Transaction,
  ): Promise<number> {
    return tx.standing.count({
      where: { protocolKey, figure, chemistry, series, packId: { not: id }, sortValue: { gt: sortValue } },
    });
  }
}
