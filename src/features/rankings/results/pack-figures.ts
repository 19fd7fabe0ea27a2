import type { ConfirmedValue } from "../../../core/record/brake.js";
import { recordUncertaintyOf } from "../../../core/record/judgement.js";
import type { StandingPolicy } from "../../../core/record/policy.js";
import { quantityOf } from "../../../core/record/quantities.js";
import { leastReproducibility } from "../../../core/record/reproducibility.js";
import { type RankedResult, type RecordStanding, recordStanding } from "../../../core/record/standing.js";
import { statusAt } from "../../../core/record/status.js";
import type {
  HoldDecision,
  ConfirmedValue as StoredConfirmedValue,
  TesterResult,
} from "../../../generated/prisma/client.js";
import { loadOfColumn } from "../../../platform/database/rows/load-column.js";
import type { StoredRecord } from "./results.repository.js";

/** What testers together say of one figure of one pack at one load. */
export interface PackFigure extends Omit<RecordStanding, "confirmed" | "consensus" | "countedTesterIds"> {
  readonly packId: string;
  readonly figure: string;
  readonly unit: string;
  readonly basis: "own" | "translated";
  /** The standard load, A; null under the runs' own loads. */
  readonly load: number | null;
}

/** What of the database decides standings beside the results of runs. */
export interface StandingFacts {
  readonly policy: StandingPolicy;
  readonly records: ReadonlyMap<string, StoredRecord>;
  readonly confirmed: ReadonlyMap<string, StoredConfirmedValue>;
  readonly decisions: ReadonlyMap<string, HoldDecision>;
  /** s_R over the value, by figure and basis, where it was estimated. */
  readonly reproducibilities: ReadonlyMap<string, number>;
  /** Packs that may have established standings. */
  readonly packsToEstablish: ReadonlySet<string>;
  /** ms since 1970 */
  readonly now: number;
}

/** One figure of one pack with the results behind it. */
export interface FigureStanding {
  readonly packId: string;
  readonly figure: string;
  readonly basis: "own" | "translated";
  /** 0 under the runs' own loads. */
  readonly load: number;
  readonly unit: string;
  readonly results: readonly RankedResult[];
  readonly standing: RecordStanding;
  readonly relativeSd: number;
}

/** A decision on a held result holds while the result stays within this share of it: another mean is another result. */
const SAME_RESULT = 1e-9;

export const confirmedName = ({ packId, figure, load }: Pick<TesterResult, "packId" | "figure" | "load">): string =>
  `${packId} ${figure} ${load}`;
export const decisionName = (one: Pick<TesterResult, "packId" | "figure" | "load" | "testerId">): string =>
  `${confirmedName(one)} ${one.testerId}`;

/** The standings that testers' results give, of every pack, figure and load among them. */
export function figureStandings(results: readonly TesterResult[], facts: StandingFacts): FigureStanding[] {
  const groups = Map.groupBy(results, (one) => `${confirmedName(one)} ${one.basis}`);
  return [...groups.values()].flatMap((rows) => {
    const found = figureStanding(rows as [TesterResult, ...TesterResult[]], facts);
    return found ? [found] : [];
  });
}

function figureStanding(rows: readonly [TesterResult, ...TesterResult[]], facts: StandingFacts): FigureStanding | null {
  const [{ packId, figure, basis, load, unit }] = rows;
  const relativeSd = relativeSdOf({ figure, basis }, facts);
  // Sums depend on their order in the last digit: it is the same wherever the rows come from.
  const ordered = rows.toSorted((a, b) => (a.testerId < b.testerId ? -1 : 1));
  const results = ordered.map((row) => rankedResult(row, facts));
  const stored = facts.confirmed.get(confirmedName({ packId, figure, load })) ?? null;
  const standing = recordStanding(results, {
    policy: facts.policy,
    relativeSd,
    confirmed: stored && confirmedOf(stored),
    mayBeEstablished: facts.packsToEstablish.has(packId),
  });
  return (
    standing && { packId, figure, basis: basis as "own" | "translated", load, unit, results, standing, relativeSd }
  );
}

/** s_R over the value: as it was estimated, else the least. */
export const relativeSdOf = (
  { figure, basis }: Pick<TesterResult, "figure" | "basis">,
  { reproducibilities }: Pick<StandingFacts, "reproducibilities">,
): number => reproducibilities.get(`${figure} ${basis}`) ?? leastReproducibility(figure);

/** A result as core takes it. */
export function rankedResult(row: TesterResult, { records, decisions, now }: StandingFacts): RankedResult {
  const record = records.get(row.testerId);
  const decision = decisions.get(decisionName(row));
  const isSame = decision && Math.abs(decision.value - row.value) <= SAME_RESULT * Math.abs(row.value);
  return {
    testerId: row.testerId,
    value: row.value,
    uncertainty: row.ownUncertainty,
    degreesOfFreedom: row.degreesOfFreedom,
    parts: [row.kineticsUncertainty, row.resistanceUncertainty, row.formUncertainty],
    common: row.commonUncertainty,
    recordUncertainty: recordUncertaintyOf(record?.judgement ?? [], quantityOf(row.figure)),
    status: statusAt(
      {
        vouchedAt: record?.vouchedAt?.getTime() ?? null,
        establishedSince: record?.establishedSince?.getTime() ?? null,
      },
      now,
    ),
    runs: row.runs,
    decision: isSame ? (decision.counts ? "counts" : "beside") : null,
  };
}

export const confirmedOf = ({
  value,
  uncertainty,
  degreesOfFreedom,
  computedValue,
  keptValue,
  moderatorId,
  vouchedTesters,
}: StoredConfirmedValue): ConfirmedValue => ({
  value,
  uncertainty,
  degreesOfFreedom,
  computedValue,
  keptValue,
  byModerator: moderatorId !== null && keptValue === null,
  vouchedTesters,
});

/** A figure's standing as comparisons show it. */
export function packFigure({ packId, figure, basis, load, unit, standing }: FigureStanding): PackFigure {
  const { confirmed: _, consensus: __, countedTesterIds: ___, ...shown } = standing;
  return { packId, figure, basis, load: loadOfColumn(load), unit, ...shown };
}

/**
 * A confirmed value under another version of the protocol or of the computation: it moves with what the results give, so that what had been
 * between the two stays between them.
 */
export function carriedOver(stored: StoredConfirmedValue, computedValue: number): StoredConfirmedValue {
  const factor = stored.computedValue === 0 ? 1 : computedValue / stored.computedValue;
  return { ...carriedBy(stored, factor), computedValue };
}

/** A confirmed value, and what it was held against, when the same results have all become so many times what they were. */
export function carriedBy(stored: StoredConfirmedValue, factor: number): StoredConfirmedValue {
  return {
    ...stored,
    value: factor * stored.value,
    uncertainty: Math.abs(factor) * stored.uncertainty,
    keptValue: stored.keptValue === null ? null : factor * stored.keptValue,
    computedValue: factor * stored.computedValue,
  };
}
