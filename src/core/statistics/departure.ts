import { hypot } from "../numerics/hypot.js";
import type { Estimate } from "./estimate.js";
import type { TesterResult } from "./standing.js";

/** How far one result lies from those of others. */
export interface Departure {
  /** Their median, each tester counting as one. */
  readonly median: number;
  /** Their spread as a standard deviation: 1.4826 times the median distance from the median. */
  readonly spread: number;
  readonly runs: number;
  readonly testers: number;
  /** Distance from the median in standard deviations of what one more result would be. */
  readonly z: number;
  /** Whether it is farther than chance leaves likely. */
  readonly far: boolean;
}

/** Fewer results, or of fewer testers, say nothing of what is usual. */
const MIN_RUNS = 3;
const MIN_TESTERS = 2;
/** The median distance from the median of a normal distribution is its standard deviation over this (from memory). */
const MEDIAN_DISTANCE_FACTOR = 1.4826;
/** Variance of the median of n normal results is this over n times theirs, for many of them (from memory). */
const MEDIAN_VARIANCE_FACTOR = Math.PI / 2;
const FAR = 3;

/** Where results of others lie. */
export type Middle = Pick<Departure, "median" | "spread" | "runs" | "testers">;

/**
 * Median and spread of results, each tester counting as one.
 *
 * @param results all of one quantity in one unit
 * @returns null for none; the spread of one tester's single result is 0
 */
export function middleOf(results: readonly TesterResult[]): Middle | null {
  if (results.length === 0) return null;
  const byTester = Map.groupBy(results, ({ testerId }) => testerId);
  const medianOf = testersMedian(results, byTester);
  const median = medianOf(({ value }) => value);
  const spread = MEDIAN_DISTANCE_FACTOR * medianOf(({ value }) => Math.abs(value - median));
  return { median, spread, runs: results.length, testers: byTester.size };
}

/**
 * Sets one result against those of others, robustly: a single dishonest one among them moves neither median nor spread far.
 * The standard deviation of one more result is made of the spread, or the median uncertainty of the others where that is larger,
 * of the median's own uncertainty, and of the result's.
 *
 * @param others results by other testers, all of one quantity in one unit
 * @returns null for fewer than three results or two testers
 */
export function departureFrom(others: readonly TesterResult[], result: Estimate): Departure | null {
  const middle = middleOf(others);
  if (!middle || middle.runs < MIN_RUNS || middle.testers < MIN_TESTERS) return null;
  const byTester = Map.groupBy(others, ({ testerId }) => testerId);
  const usual = Math.max(
    middle.spread,
    testersMedian(others, byTester)(({ uncertainty }) => uncertainty),
  );
  const deviation = hypot(usual * Math.sqrt(1 + MEDIAN_VARIANCE_FACTOR / middle.testers), result.uncertainty);
  const z = deviation > 0 ? (result.value - middle.median) / deviation : 0;
  return { ...middle, z, far: Math.abs(z) > FAR };
}

function testersMedian(
  results: readonly TesterResult[],
  byTester: ReadonlyMap<string, readonly TesterResult[]>,
): (number: (one: TesterResult) => number) => number {
  return (number) =>
    weightedMedian(results.map((one) => [number(one), 1 / (byTester.get(one.testerId)?.length ?? 1)] as const));
}

/** The value below and above which half of the weight lies; midway between two when the evenOddSplit meet there. */
function weightedMedian(values: readonly (readonly [value: number, weight: number])[]): number {
  const ordered = values.toSorted(([a], [b]) => a - b);
  const half = values.reduce((sum, [, weight]) => sum + weight, 0) / 2;
  let below = 0;
  for (const [i, [value, weight]] of ordered.entries()) {
    below += weight;
    if (Math.abs(below - half) < ROUNDING * half) return (value + (ordered[i + 1]?.[0] ?? value)) / 2;
    if (below > half) return value;
  }
  return Number.NaN;
}

/** Sums of weights such as thirds meet the half only within this. */
const ROUNDING = 1e-9;
