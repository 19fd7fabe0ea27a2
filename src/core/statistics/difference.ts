import { COVERAGE_FACTOR } from "../uncertainty/coverage-factor.js";
import type { Estimate } from "./estimate.js";

/** One value set against a baseline. */
export interface Difference {
  readonly difference: number;
  /** 100 (value - baseline) / baseline; null for a baseline of zero. */
  readonly differencePercent: number | null;
  /** Whether the difference exceeds 2 sqrt(u1^2 + u2^2). */
  readonly distinguishable: boolean;
}

/** Whether two estimates differ by more than their uncertainty allows. */
export function areDistinguishable(a: Estimate, b: Estimate): boolean {
  return Math.abs(a.value - b.value) > COVERAGE_FACTOR * Math.hypot(a.uncertainty, b.uncertainty);
}

export function differenceFrom(baseline: Estimate, estimate: Estimate): Difference {
  const difference = estimate.value - baseline.value;
  return {
    difference,
    differencePercent: baseline.value === 0 ? null : (100 * difference) / baseline.value,
    distinguishable: areDistinguishable(estimate, baseline),
  };
}
