import type { Bound } from "../model.js";
import { hypot } from "../numerics/hypot.js";
import type { Estimate } from "../statistics/estimate.js";
import { rectangular } from "../uncertainty/noise.js";
import type { LadderStep } from "./step.js";

/** Currents closer than this share are the same step. */
export const SAME_CURRENT_SHARE = 0.01;

/** What the steps of a ladder say of the current that a specimen sustains. */
export interface VerifiedCurrent extends Estimate {
  /** The step that it, or its bound, is the current of. */
  readonly runId: string;
  /** `lower`: no step fails, so it is at least this; `upper`: no step passes below every failing one, so it is less than this. */
  readonly bound: Bound;
  /** Lowest failing step, A; null when none fails. */
  readonly upperBracketA: number | null;
}

/**
 * The highest passing step below every failing one, with the lowest failing step as its upper bracket (common practice, no
 * published source). A ladder in which no step passes, or none fails, gives only a bound.
 *
 * The uncertainty of the current sustained, when the passing step stands for it, is that of the step's current and of a
 * value anywhere between both brackets: their distance / sqrt 3 (JCGM 100 4.3.7, from memory).
 *
 * @param steps at least one, in any order
 * @throws RangeError for no step
 */
export function verifiedCurrent(steps: readonly LadderStep[]): VerifiedCurrent {
  const [passing, failing] = [steps.filter(({ passes }) => passes), steps.filter(({ passes }) => !passes)];
  const lowestFailing = lowest(failing);
  const below = (step: LadderStep) =>
    lowestFailing === null || step.current.value < lowestFailing.current.value * (1 - SAME_CURRENT_SHARE);
  const highestPassing = highest(passing.filter(below));
  if (highestPassing === null) {
    if (lowestFailing === null) throw new RangeError("a ladder has at least one step");
    return {
      runId: lowestFailing.runId,
      ...lowestFailing.current,
      bound: "upper",
      upperBracketA: lowestFailing.current.value,
    };
  }
  const { runId, current } = highestPassing;
  const { value, uncertainty } = current;
  if (lowestFailing === null) return { runId, value, uncertainty, bound: "lower", upperBracketA: null };
  const upperBracketA = lowestFailing.current.value;
  return {
    runId,
    value,
    uncertainty: hypot(uncertainty, rectangular(upperBracketA - value)),
    bound: "none",
    upperBracketA,
  };
}

/** Steps that pass at or above the current of one that fails: one of both is wrong, and the lower one counts. */
export function contradictingSteps(steps: readonly LadderStep[]): LadderStep[] {
  const lowestFailing = lowest(steps.filter(({ passes }) => !passes));
  if (lowestFailing === null) return [];
  const least = lowestFailing.current.value * (1 - SAME_CURRENT_SHARE);
  return steps.filter(({ passes, current }) => passes && current.value >= least);
}

const lowest = (steps: readonly LadderStep[]): LadderStep | null =>
  steps.reduce<LadderStep | null>((one, step) => (one && one.current.value <= step.current.value ? one : step), null);

const highest = (steps: readonly LadderStep[]): LadderStep | null =>
  steps.reduce<LadderStep | null>((one, step) => (one && one.current.value >= step.current.value ? one : step), null);
