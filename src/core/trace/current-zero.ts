import type { Accuracy } from "../model.js";
import { hypot } from "../numerics/hypot.js";
import { median } from "../statistics/median.js";
import { MEDIAN_FACTOR, sampleNoise } from "../uncertainty/sample-noise.js";
import { type Onset, restWidth } from "./onset.js";
import { indexAtOrAfter } from "./series.js";

/** Shortest rest from which the current sensor's zero is taken, and how far back it is looked for, s. */
const MIN_REST_SECONDS = 1;
export const ZERO_REST_SECONDS = 60;
/** Largest offset that is subtracted, as a share of the load current, where the bench states no larger one. */
export const MAX_ZERO_SHARE = 0.02;
/** Numbers that differ by no more than this, relatively, have the same digits. */
const SAME_VALUE = 1e-9;
const MIN_CHANGES = 10;
/** A rest whose later half lies farther from its earlier one than this share of what belongs to a rest goes up or down: a load that grows slowly. */
const DRIFT_SHARE = 0.5;
/** U = 2 u: what noise and digits leave in the offset does not count against it. */
const COVERAGE = 2;

/** What the current sensor reads where no current flows. */
export interface CurrentZero {
  readonly offsetA: number;
  /** Standard uncertainty that noise and digits leave in it, A. */
  readonly uncertaintyA: number;
  /** Within what the bench states, or 2 % of the load: what it reads under load is known from its zero on. An offset of exactly 0 is as good as any. */
  readonly isKnown: boolean;
  /** A known offset other than 0 is subtracted. */
  readonly subtracted: boolean;
}

/**
 * Definition 10: the zero of the current sensor by the rest before the load.
 *
 * @param stated accuracy of the sensor; its constant part is what an honest one may read at no current
 * @returns null when less than 1 s of rest was logged, or what was logged before the load is a load that grows
 */
export function currentZero(
  time: Float64Array,
  current: Float64Array,
  onset: Onset,
  stated: Accuracy,
): CurrentZero | null {
  const { restSamples, riseFrom, restA, loadCurrentA } = onset;
  if (riseFrom === null || restSamples < 2) return null;
  const from = indexAtOrAfter(time, riseFrom - ZERO_REST_SECONDS);
  const width = restWidth(current, from, restSamples, onset);
  const atRest: number[] = [];
  for (let i = from; i < restSamples; i++) if (Math.abs((current[i] as number) - restA) <= width) atRest.push(i);
  const [first, last] = [atRest[0], atRest.at(-1)];
  if (first === undefined || last === undefined) return null;
  if ((time[last] as number) - (time[first] as number) < MIN_REST_SECONDS) return null;
  const readings = Float64Array.from(atRest, (i) => current[i] as number);
  const offsetA = median(readings);
  const { deviation } = sampleNoise(readings, 0, readings.length);
  // A rest that stands on one number has the digits that the load shows.
  const digit = smallestChange(current);
  const digits = deviation > digit / 2 ? 0 : digit / Math.sqrt(12);
  const uncertaintyA = hypot((MEDIAN_FACTOR * deviation) / Math.sqrt(readings.length), digits);
  const limitA = Math.max(stated.offset, MAX_ZERO_SHARE * loadCurrentA);
  const isKnown = Math.abs(offsetA) <= limitA + COVERAGE * uncertaintyA;
  if (!isKnown && isDrifting(readings, width)) return null;
  return { offsetA, uncertaintyA, isKnown, subtracted: isKnown && offsetA !== 0 };
}

/** Whether readings go one way: a sensor's zero stays where it is within a minute, and what grows beyond what the sensor may read at rest is drawn. */
function isDrifting(readings: Float64Array, width: number): boolean {
  const middle = Math.floor(readings.length / 2);
  if (middle < 1) return false;
  return Math.abs(median(readings.subarray(middle)) - median(readings.subarray(0, middle))) > DRIFT_SHARE * width;
}

/** The least by which two neighbours differ, which is the step of the digits; 0 in a log that hardly ever changes, which shows none. */
function smallestChange(values: Float64Array): number {
  let least = Number.POSITIVE_INFINITY;
  let changes = 0;
  for (let i = 1; i < values.length; i++) {
    const change = Math.abs((values[i] as number) - (values[i - 1] as number));
    if (change <= SAME_VALUE * Math.max(1, Math.abs(values[i] as number))) continue;
    changes++;
    least = Math.min(least, change);
  }
  return changes >= MIN_CHANGES ? least : 0;
}
