import { type Demand, instants, lastOfUse } from "./demand.js";
import type { Cell } from "./model/cell.js";
import { type Grade, type PackModel, TABLE_INTERVALS } from "./model/pack-model.js";
import { followAll, followScales, type Passes, type Whose } from "./perturbed-passes.js";
import { limitsFor } from "./predict.js";
import type { Use } from "./use.js";
import { validityOf } from "./validity.js";
import { type Verdict, verdictOf } from "./verdict.js";

/** What is told of a pack among many under one use. */
export interface Judgement extends Verdict {
  readonly grade: Grade;
  /** Largest current that the use draws until its end or the cutoff, A. */
  readonly peakA: number;
  /** Energy of the charge that is left at the end of the use, at the open-circuit voltage, Wh; null where it was not followed so far. */
  readonly energyLeftWh: number | null;
  /** Whether every direction of uncertainty was followed, as a prediction does. */
  readonly isWhole: boolean;
}

/** Beyond this probability, with capacity and resistance alone uncertain, the other directions decide nothing: 5 standard uncertainties. */
const DECIDED = 3e-7;

/**
 * Judges a use of one pack as `predictUse` does, without its curve, and quicker where the pack holds it or fails it clearly.
 *
 * @param demand the use written out by `demandFor`; one serves all packs with as many cells in series
 * @param isWhole whether every direction of uncertainty is followed however clear the answer is
 * @returns null where the model says nothing of the use
 */
export function judgeUse(model: PackModel, use: Use, whose: Whose, demand: Demand, isWhole: boolean): Judgement | null {
  const limits = limitsFor(model, use);
  if (isWhole) return judgementOf(model, use, demand, followAll(model, whose, demand, limits, use), true);
  const quick = judgementOf(model, use, demand, followScales(model, whose, demand, limits, use), false);
  if (quick === null || quick.probability === null) return quick;
  const isClear = quick.probability < DECIDED || quick.probability > 1 - DECIDED;
  return isClear ? quick : judgeUse(model, use, whose, demand, true);
}

function judgementOf(model: PackModel, use: Use, demand: Demand, passes: Passes, isWhole: boolean): Judgement | null {
  const { expected } = passes;
  const { size, needed } = validityOf(model, expected, demand, use);
  if (size === 0 && needed.length > 0) return null;
  const verdict = verdictOf(passes, demand, use, { size, maxShare: limitsFor(model, use).endShare });
  const last = lastOfUse(instants(demand), demand);
  const isFollowed = last < size;
  return {
    ...verdict,
    grade: model.grade,
    peakA: peakUntil(passes, use, Math.min(size, last + 1)),
    energyLeftWh: isFollowed
      ? (model.series * energyAfter(expected.cell, expected.share[last] as number)) / 3600
      : null,
    isWhole,
  };
}

function peakUntil({ expected }: Passes, { cutoffVoltsPerCell }: Use, size: number): number {
  let peakA = 0;
  for (let i = 0; i < size && (expected.voltage[i] as number) >= cutoffVoltsPerCell; i++) {
    peakA = Math.max(peakA, expected.current[i] as number);
  }
  return peakA;
}

/** Energy of a cell from a share of its charge to all of it, by the trapezoidal rule over its table, J. */
function energyAfter({ sourceVolts, chargeAs }: Cell, share: number): number {
  const volts = (place: number): number => {
    const k = Math.min(Math.floor(place), TABLE_INTERVALS - 1);
    return (sourceVolts[k] as number) + (place - k) * ((sourceVolts[k + 1] as number) - (sourceVolts[k] as number));
  };
  let sum = 0;
  let from = Math.max(0, share) * TABLE_INTERVALS;
  while (from < TABLE_INTERVALS) {
    const to = Math.min(TABLE_INTERVALS, Math.floor(from) + 1);
    sum += ((volts(from) + volts(to)) / 2) * (to - from);
    from = to;
  }
  return (sum / TABLE_INTERVALS) * chargeAs;
}
