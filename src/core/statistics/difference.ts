import { hypot } from "../numerics/hypot.js";
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
  return Math.abs(a.value - b.value) > COVERAGE_FACTOR * hypot(a.uncertainty, b.uncertainty);
}

export function differenceFrom(baseline: Estimate, estimate: Estimate): Difference {
  const difference = estimate.value - baseline.value;
  return {
    difference,
    differencePercent: baseline.value === 0 ? null : (100 * difference) / baseline.value,
    distinguishable: areDistinguishable(estimate, baseline),
  };
}

/** How well a difference is known. */
export interface DifferenceUncertainty {
  /** Standard uncertainty of value - baseline. */
  readonly differenceUncertainty: number;
  /** Standard uncertainty of the difference in percent, %: the baseline's own uncertainty enters by the ratio; null for a baseline of zero. */
  readonly differencePercentUncertainty: number | null;
}

/**
 * Standard uncertainties of a difference of independent estimates and of the same in percent of the baseline: for y = a / b,
 * u(y) = |y| sqrt((u(a)/a)^2 + (u(b)/b)^2) (JCGM 100, 5.1.2 and 5.1.6; clauses from memory).
 *
 * @param isSame whether both are one estimate, whose difference is exactly nothing
 */
export function differenceUncertainty(baseline: Estimate, estimate: Estimate, isSame: boolean): DifferenceUncertainty {
  if (isSame) return { differenceUncertainty: 0, differencePercentUncertainty: baseline.value === 0 ? null : 0 };
  const ratio = estimate.value / baseline.value;
  const percent = (100 / Math.abs(baseline.value)) * hypot(estimate.uncertainty, ratio * baseline.uncertainty);
  return {
    differenceUncertainty: hypot(estimate.uncertainty, baseline.uncertainty),
    differencePercentUncertainty: baseline.value === 0 ? null : percent,
  };
}
