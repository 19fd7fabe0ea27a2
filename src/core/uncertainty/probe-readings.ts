import { square } from "../numerics/square.js";
import { median } from "../statistics/median.js";
import { decimalDigit, digitOf } from "../trace/probes/digit-of.js";
import { isOnLine } from "../trace/probes/on-line.js";
import type { SampleNoise } from "./sample-noise.js";

/** Numbers that are repeated stand for so many rows at the median. */
const MIN_ROWS_REPEATED = 3;
/** Digits alone may repeat them where they change by no more digits, at the median. */
const MAX_DIGITS_ALONE = 1.5;
/** Rows were filled in where at least so many of them lie on the line between their neighbours, and so many readings are left. */
const MIN_FILLED_SHARE = 0.5;
/** ... of which so many, of all rows, rise or fall: a number that digits repeat lies on a line too. */
const MIN_SLOPING_SHARE = 0.01;
const MIN_READINGS = 5;

/**
 * Noise and digits of a probe's own readings, where it is read more seldom than the samples `from` to `to`, `to` exclusive: its number is repeated until
 * the next reading, or rows between two were filled in on a line. null where each sample may be a reading. A probe whose digits are coarser than
 * what it does from row to row repeats its numbers too, and is known no better than if it were read at each of its steps: its noise is then half a digit at most.
 */
export function seldomReadNoise(
  time: Float64Array,
  celsius: Float64Array,
  from: number,
  to: number,
): SampleNoise | null {
  const samples = to - from;
  const part = celsius.subarray(from, to);
  const changed = readingsBy((i) => celsius[i] !== celsius[i - 1], from, to, samples / 2);
  if (changed && changed.length > 1 && rowsBetween(changed) >= MIN_ROWS_REPEATED) {
    const digitK = digitOf(part);
    const isDigits = changeOf(changed, celsius) <= MAX_DIGITS_ALONE * digitK;
    const deviation = deviationOf(changed, time, celsius);
    return noise(isDigits ? Math.min(deviation, digitK / 2) : deviation, digitK, changed.length / samples);
  }
  const digitK = decimalDigit(part);
  const most = (1 - MIN_FILLED_SHARE) * samples;
  let sloping = 0;
  const isReading = (i: number) => {
    if (isOnLine(time, celsius, i, digitK)) sloping++;
    else return celsius[i - 1] !== celsius[i] || celsius[i] !== celsius[i + 1];
    return false;
  };
  const drawn = readingsBy(isReading, from, to, most);
  if (!drawn || drawn.length < MIN_READINGS || sloping < MIN_SLOPING_SHARE * samples) return null;
  const ownDigitK = digitOf(Float64Array.from(drawn, (at) => celsius[at] as number));
  return noise(deviationOf(drawn, time, celsius), ownDigitK, drawn.length / samples);
}

function noise(deviation: number, digitK: number, share: number): SampleNoise {
  const resolution = deviation > digitK / 2 ? 0 : digitK / Math.sqrt(12);
  return { deviation, resolution, step: digitK || Number.POSITIVE_INFINITY, share };
}

/** The samples that are readings; null where they are more than `most`. */
function readingsBy(isReading: (i: number) => boolean, from: number, to: number, most: number): number[] | null {
  const found = [from];
  for (let i = from + 1; i < to && found.length <= most; i++) if (isReading(i)) found.push(i);
  return found.length > most ? null : found;
}

/** The median number of rows from one reading to the next. */
const rowsBetween = (readings: readonly number[]): number =>
  median(Float64Array.from(readings.slice(1), (at, i) => at - (readings[i] as number)));

/** By how much readings differ from the ones before; the median, K. */
const changeOf = (readings: readonly number[], celsius: Float64Array): number =>
  median(
    Float64Array.from(readings.slice(1), (at, i) =>
      Math.abs((celsius[at] as number) - (celsius[readings[i] as number] as number)),
    ),
  );

/** How far readings lie from the line between their neighbours: of independent noise s, at p of the way, its variance is s^2 (1 + p^2 + (1 - p)^2) (derived). */
function deviationOf(readings: readonly number[], time: Float64Array, celsius: Float64Array): number {
  let [sum, weight] = [0, 0];
  for (let k = 2; k < readings.length; k++) {
    const [a, b, c] = [readings[k - 2], readings[k - 1], readings[k]] as [number, number, number];
    const p = ((time[b] as number) - (time[a] as number)) / ((time[c] as number) - (time[a] as number));
    const line = (celsius[a] as number) + p * ((celsius[c] as number) - (celsius[a] as number));
    sum += square((celsius[b] as number) - line);
    weight += 1 + square(p) + square(1 - p);
  }
  return weight > 0 ? Math.sqrt(sum / weight) : 0;
}
