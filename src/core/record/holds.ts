import { hypot } from "../numerics/hypot.js";
import { median } from "../statistics/median.js";
import { countedUncertainty, standingValue, type TesterResultOfPack } from "./standing-value.js";

/** A result that could make a value, with what is known of its tester. */
export interface CandidateResult extends TesterResultOfPack {
  readonly isReference: boolean;
}

/** Farther than so many standard uncertainties of the difference, a result waits for a moderator. */
const FAR = 3;
/** Nearer to the median of all than so many of its own uncertainties, a result is not looked at. */
const NEAR = 2;
/** Fewer reference testers do not say which of them is off. */
const MIN_REFERENCES = 2;
/** So many held results that agree with each other say that the others may be wrong. */
const AGREEING_ALARM = 3;

/**
 * The testers whose results are further from the value of the others than 3 sqrt(max(u, 0.7 s_R)^2 + u_value^2). Reference testers are held
 * against the other reference testers, the farthest first and anew without it; everybody else against the reference testers that
 * are left, so that no number of newcomers holds up each other's opponents. Where fewer than two reference testers are
 * left, everybody is held against all others. The outcome does not depend on who came first.
 *
 * Source: the design of this project, simulated, docs/records.md.
 *
 * @param results of one figure of one pack at one load, by different testers
 * @param relativeSd s_R over the value
 * @param released testers whom a moderator has let count all the same
 */
export function heldTesters(
  results: readonly CandidateResult[],
  relativeSd: number,
  released: ReadonlySet<string>,
): Set<string> {
  const references = results.filter(({ isReference }) => isReference);
  const held = farthestOf(references, relativeSd, released);
  const left = references.filter(({ testerId }) => !held.has(testerId));
  if (left.length < MIN_REFERENCES) return farthestOf(results, relativeSd, released);
  for (const one of results) {
    if (one.isReference || released.has(one.testerId)) continue;
    if (departure(one, left, relativeSd) > FAR) held.add(one.testerId);
  }
  return held;
}

/** Whether three held results agree with each other, so that the value may be what is wrong. */
export function heldAgree(held: readonly TesterResultOfPack[], relativeSd: number): boolean {
  return held.some((one) => {
    const near = held.filter((other) => other !== one && departure(one, [other], relativeSd) <= 2);
    return near.length >= AGREEING_ALARM - 1;
  });
}

/** Distance of a result from the value of others, in standard uncertainties of the difference. */
export function departure(one: TesterResultOfPack, others: readonly TesterResultOfPack[], relativeSd: number): number {
  const { value, uncertainty } = standingValue(others, relativeSd);
  const centre = median([value, one.value]);
  return Math.abs(one.value - value) / hypot(countedUncertainty(one, centre, relativeSd), uncertainty);
}

function farthestOf(
  results: readonly CandidateResult[],
  relativeSd: number,
  released: ReadonlySet<string>,
): Set<string> {
  const held = new Set<string>();
  for (;;) {
    const left = results.filter(({ testerId }) => !held.has(testerId));
    // Of two, neither is further from the other than the other is from it.
    if (left.length <= 2) return held;
    let farthest: { readonly testerId: string; readonly distance: number } | null = null;
    const centre = median(left.map(({ value }) => value));
    for (const one of left) {
      const isNear = Math.abs(one.value - centre) <= NEAR * countedUncertainty(one, centre, relativeSd);
      if (isNear || released.has(one.testerId)) continue;
      const others = left.filter((other) => other !== one);
      const distance = departure(one, others, relativeSd);
      if (distance > FAR && distance > (farthest?.distance ?? 0)) farthest = { testerId: one.testerId, distance };
    }
    if (!farthest) return held;
    held.add(farthest.testerId);
  }
}
