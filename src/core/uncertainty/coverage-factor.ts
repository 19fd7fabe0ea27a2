import { studentQuantile } from "../statistics/quantiles.js";

/** Half of what twice the standard deviation leaves out of a normal distribution, 95.45 % being within it. */
const UPPER_LEVEL = 0.977249868051821;
/** From here on Student's t is the normal distribution to six digits. */
const AS_GOOD_AS_INFINITE = 1e6;

/** k of U = k u where the degrees of freedom are infinite. */
export const COVERAGE_FACTOR = 2;

/**
 * The factor k by which a standard uncertainty is multiplied for an interval that holds about 95.45 %:
 * t of Student's distribution with the effective degrees of freedom, which is 2 for infinitely many.
 *
 * Source: JCGM 100:2008, G.3.2 and table G.2 (its column for 95.45 %; clause from memory). Degrees of freedom that are not whole are
 * taken as they are, which is G.4.1's interpolation.
 *
 * @param degreesOfFreedom above zero; null for infinitely many
 */
export function coverageFactor(degreesOfFreedom: number | null): number {
  if (degreesOfFreedom === null || degreesOfFreedom > AS_GOOD_AS_INFINITE) return COVERAGE_FACTOR;
  return studentQuantile(UPPER_LEVEL, degreesOfFreedom);
}
