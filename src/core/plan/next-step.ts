import { decimalExponent, powerOfTen } from "../numerics/powers.js";
import { STANDARD_LOADS_A } from "../translation/standard-loads.js";

export const STEP_REASONS = ["first", "higher", "lower", "between", "bracketed", "label-reached", "no-lower"] as const;
/**
 * Why a ladder goes on as it does.
 * - first: there is no step yet
 * - higher: every step passed
 * - lower: every step failed
 * - between: the limit lies between a passing and a failing step
 * - bracketed: both are close enough; the ladder is done
 * - label-reached: a step passed at the maker's continuous current, beyond which nobody tests
 * - no-lower: a step failed at the lowest current that a plan offers
 */
export type StepReason = (typeof STEP_REASONS)[number];

/** A step that was done: its current and whether the pack sustained it. */
export interface DoneStep {
  readonly currentA: number;
  readonly passes: boolean;
}

export interface NextStep {
  /** null when there is none. */
  readonly currentA: number | null;
  readonly reason: StepReason;
}

export interface LadderSoFar {
  readonly steps: readonly DoneStep[];
  /** Current at which limit and cutoff would coincide, as the heat balance estimates it, A. */
  readonly estimateA: number | null;
  /** The most that the label allows, A: the maker's continuous current. Infinite where it names none. */
  readonly mostA: number;
  /** A current that such packs surely sustain, A. */
  readonly easyA: number;
}

/** A bracket no wider than this is known as well as benches can tell (common practice). */
const CLOSE_RATIO = 1.1;
/** Steps this much farther than the one before are neither a waste of a charge nor a leap. */
const UP_RATIO = 1.15;
const DOWN_RATIO = 1.4;

/**
 * The current of a ladder's next step: from an easy one upwards in steps of the R10 series, never above the maker's continuous
 * current, until one fails; then between the brackets, at the estimate of the heat balance where there is one.
 * Common practice, no published source.
 */
export function nextStep({ steps, estimateA, mostA, easyA }: LadderSoFar): NextStep {
  const failing = Math.min(...steps.filter(({ passes }) => !passes).map(({ currentA }) => currentA));
  const passing = Math.max(
    ...steps.filter(({ passes, currentA }) => passes && currentA < failing).map(({ currentA }) => currentA),
  );
  if (steps.length === 0) return { currentA: Math.min(standardBelow(easyA) ?? easyA, mostA), reason: "first" };
  if (!Number.isFinite(failing)) {
    if (passing * 1.01 >= mostA) return { currentA: null, reason: "label-reached" };
    return { currentA: Math.min(standardAbove(passing * UP_RATIO), mostA), reason: "higher" };
  }
  if (!Number.isFinite(passing)) {
    const lower = standardBelow(failing / DOWN_RATIO);
    return lower === null ? { currentA: null, reason: "no-lower" } : { currentA: lower, reason: "lower" };
  }
  if (failing / passing <= CLOSE_RATIO) return { currentA: null, reason: "bracketed" };
  const middle = Math.sqrt(passing * failing);
  const inside = estimateA !== null && estimateA > passing * 1.02 && estimateA < failing * 0.98;
  return { currentA: Math.min(rounded(inside ? estimateA : middle), mostA), reason: "between" };
}

/** The largest standard load up to a current; null below the lowest. */
export function standardBelow(currentA: number): number | null {
  return STANDARD_LOADS_A.findLast((load) => load <= currentA) ?? null;
}

function standardAbove(currentA: number): number {
  return STANDARD_LOADS_A.find((load) => load >= currentA) ?? currentA;
}

/** To two digits and a half: a load cannot be set closer in practice. */
function rounded(currentA: number): number {
  const step = powerOfTen(decimalExponent(currentA) - 1) / 2;
  return Number((Math.round(currentA / step) * step).toPrecision(6));
}
