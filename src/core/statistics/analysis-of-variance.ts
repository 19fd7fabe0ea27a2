import { square } from "../numerics/square.js";
import { type Sample, sampleOf } from "./sample.js";

/** A sum of squares with the degrees of freedom that belong to it. */
export interface SumOfSquares {
  readonly squares: number;
  readonly degreesOfFreedom: number;
}

export interface AnalysisOfVariance {
  readonly groups: readonly Sample[];
  readonly between: SumOfSquares;
  readonly within: SumOfSquares;
}

/**
 * One-way analysis of variance: how much of the scatter lies between the means of groups, and how much within groups.
 * All sums are taken about the first value of all, so that common leading digits cost nothing.
 *
 * @param groups at least one, each of at least one value in one unit; the squares are in that unit squared
 */
export function oneWay(groups: readonly (readonly number[])[]): AnalysisOfVariance {
  const origin = groups[0]?.[0] ?? Number.NaN;
  const samples = groups.map((values) => sampleOf(values.map((value) => value - origin)));
  const count = samples.reduce((sum, group) => sum + group.count, 0);
  const grandMean = samples.reduce((sum, group) => sum + group.count * group.mean, 0) / count;
  const between = samples.reduce((sum, group) => sum + group.count * square(group.mean - grandMean), 0);
  const within = samples.reduce((sum, group) => sum + group.squares, 0);
  return {
    groups: samples.map((group) => ({ ...group, mean: origin + group.mean })),
    between: { squares: between, degreesOfFreedom: groups.length - 1 },
    within: { squares: within, degreesOfFreedom: count - groups.length },
  };
}
