import type { Figure } from "../../src/core/model.js";
import { packResult, type TesterResult } from "../../src/core/statistics/standing.js";
import { coverageFactor } from "../../src/core/uncertainty/coverage-factor.js";

/** What one run of each of several testers makes of a figure of their pack: its value and U = k u. */
export function standingOf(figures: readonly Figure[]): { readonly value: number; readonly U: number } {
  const results = figures.map(({ value, uncertainty, shared }, tester): TesterResult => {
    return { testerId: String(tester), value, uncertainty, shared };
  });
  const { value, uncertainty, degreesOfFreedom } = packResult(results);
  return { value, U: coverageFactor(degreesOfFreedom) * uncertainty };
}
