import { hypot } from "../numerics/hypot.js";
import { square } from "../numerics/square.js";

/** One independent part of a combined standard uncertainty. */
export interface PartWithFreedom {
  /** |c| u, in the unit of the result. */
  readonly uncertainty: number;
  /** n - 1 of the n observations that it was estimated from; null where it is stated (type B) and taken as exactly known. */
  readonly degreesOfFreedom: number | null;
}

/**
 * Effective degrees of freedom of u = sqrt(sum(u_i^2)) after Welch and Satterthwaite, u^4 / sum(u_i^4 / nu_i), for
 * independent parts; null for infinitely many.
 *
 * Source: JCGM 100:2008, G.4.1, formula (G.2b).
 */
export function effectiveFreedom(parts: readonly PartWithFreedom[]): number | null {
  const uncertainty = hypot(...parts.map((part) => part.uncertainty));
  let sum = 0;
  for (const part of parts) {
    if (part.degreesOfFreedom === null || part.uncertainty === 0) continue;
    sum += square(square(part.uncertainty / uncertainty)) / part.degreesOfFreedom;
  }
  return sum > 0 ? 1 / sum : null;
}
