import { Injectable } from "@nestjs/common";
import { ladderOf } from "../../core/ladder/ladder.js";
import type { LadderStep } from "../../core/ladder/step.js";
import type { LadderLimits } from "../../core/protocol/document.js";
import type { Caller } from "../../platform/auth/account.js";
import type { Transaction } from "../../platform/database/database.js";
import { LadderStepsRepository, type StepFilter, type StepRow, type StoredTrace } from "./ladder-steps.repository.js";

/** A ladder's figure as one result of one tester, as rankings count them. */
export interface CountedLadderFigure {
  /** The step whose current was verified. */
  readonly runId: string;
  readonly packId: string;
  readonly testerId: string;
  readonly testerHandle: string;
  readonly figure: string;
  readonly unit: string;
  readonly basis: "measured";
  readonly load: null;
  readonly shared: null;
  readonly value: number;
  readonly uncertainty: number;
  /** What of it every ladder with the same steps has in common. */
  readonly common: number;
  readonly uploadedAt: Date;
  /** Null where a step of the ladder is still accepted; else all of them were withdrawn when they had been. */
  readonly withdrawnFrom: "accepted" | null;
}

/** Turns stored constant-current runs into ladders. */
@Injectable()
export class LadderStepsService {
  constructor(private readonly ladderStepsRepository: LadderStepsRepository) {}

  stepsOf(specimenId: string, protocolKey: string): Promise<StepRow[]> {
    return this.ladderStepsRepository.find({ specimenId }, protocolKey);
  }

  /** The steps of a pack's specimens that are accepted, or were withdrawn and go on counting. */
  countedStepsOf(packId: string, protocolKey: string): Promise<StepRow[]> {
    return this.ladderStepsRepository.find({ countedOfPacks: [packId], testerId: null }, protocolKey);
  }

  /** What changes whenever steps do that the caller may see, with who that is: an owner is shown more than others. */
  async revisionOf(filter: StepFilter, protocolKey: string, caller: Caller | null): Promise<object> {
    const seesAll = caller !== null && caller.role !== "tester";
    const seen = { ownerId: caller?.id ?? null, seesAll };
    return { seen, revision: await this.ladderStepsRepository.revision(filter, protocolKey, seen) };
  }

  /** The stored trace of a step. */
  async traceOf({ evaluationId }: StepRow): Promise<StoredTrace> {
    const stored = await this.ladderStepsRepository.traceOf(evaluationId);
    if (!stored) throw new Error(`evaluation ${evaluationId} has no trace`);
    return stored;
  }

  /**
   * The figures of all ladders of some packs, of one tester or of all: one ladder a specimen, none that is only a bound. Withdrawn steps whose
   * figures had been seen go on counting, so that nobody raises a current by taking a failing step away.
   */
  async countedFigures(
    packIds: readonly string[],
    testerId: string | null,
    protocolKey: string,
    limits: LadderLimits,
    tx: Transaction,
  ): Promise<CountedLadderFigure[]> {
    const rows = await this.ladderStepsRepository.find({ countedOfPacks: packIds, testerId }, protocolKey, tx);
    return [...Map.groupBy(rows, ({ specimenId }) => specimenId).values()].flatMap((steps) => {
      const [first] = steps as [StepRow];
      const { packId, testerHandle, uploadedAt } = first;
      const { figures, verified } = ladderOf(steps.map(ladderStep), first, limits);
      if (!verified) return [];
      const withdrawnFrom = steps.some(isAccepted) ? null : "accepted";
      return figures
        .filter(({ bound }) => bound === "none")
        .map(({ key, value, unit, uncertainty, bracketUncertainty: common }) => ({
          runId: verified.runId,
          packId,
          testerId: first.testerId,
          testerHandle,
          figure: key,
          unit,
          basis: "measured" as const,
          load: null,
          shared: null,
          value,
          uncertainty,
          common,
          uploadedAt,
          withdrawnFrom,
        }));
    });
  }
}

export function ladderStep(row: StepRow): LadderStep {
  return {
    runId: row.runId,
    current: { value: row.currentA, uncertainty: row.currentUncertaintyA },
    passes: stepPasses(row),
    capacityMah: row.capacityMah,
    startC: row.startC,
    ambientC: row.ambientC,
    startedAt: row.startedAt?.getTime() ?? null,
    cycles: row.cycles,
  };
}

/** Whether a step is accepted still. */
export const isAccepted = ({ review }: StepRow): boolean => review === "accepted";

/** Steps that anyone is shown: accepted ones with those that were withdrawn and go on counting; none where none of them was ever accepted. */
export function publicSteps(rows: readonly StepRow[]): StepRow[] {
  const shown = rows.filter((row) => isAccepted(row) || row.withdrawnFrom !== null);
  return shown.some((row) => isAccepted(row) || row.withdrawnFrom === "accepted") ? shown : [];
}

/** It reached the voltage cutoff, and the temperature limit at no time. */
export const stepPasses = ({ cutoffS, limitReachedS }: StepRow): boolean => cutoffS !== null && limitReachedS === null;
