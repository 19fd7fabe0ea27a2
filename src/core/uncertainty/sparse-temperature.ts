import type { EvaluationInput } from "../figures/evaluation-input.js";
import type { ReadingKey, Readings } from "../figures/reading.js";
import { decimalDigit, digitOf } from "../trace/probes/digit-of.js";
import { isOnLine } from "../trace/probes/on-line.js";
import { standOf } from "../trace/probes/stand.js";
import { indexAtOrAfter } from "../trace/series.js";
import { rectangular } from "./noise.js";

/** A number that stands for so many samples, and for so long, s, is one reading or one digit of the probe, whatever its noise. */
const MIN_STANDING = 4;
const MIN_STANDING_S = 1;
/** Of a digit: so much of what a stand lacks may be digits alone. */
const DIGIT_SHARE = 0.5;
/** A pack heats the faster the emptier it is: its course may have grown by this factor since (common practice). */
const MAX_GROWTH = 4 / 3;

type Probed = Pick<EvaluationInput, "trace" | "startTemperatureC" | "limits">;

/**
 * Standard uncertainty that a temperature leaves in what is read of it where the probe is read more seldom than the log has rows, in the read's unit: its number is repeated
 * until the next reading, or the rows between are filled in on a line. The true temperature then lies anywhere between what was read and what the course
 * came to since (rectangular, one-sided: JCGM 100 4.3.7, from memory). What digits alone explain is part of the noise. Reads that lack nothing are absent.
 */
export function sparseTemperature(subject: Probed, reads: Readings, endS: number): ReadonlyMap<ReadingKey, number> {
  const { time, temperature } = subject.trace;
  const found = new Map<ReadingKey, number>();
  const highest = reads.get("highest-temperature");
  if (!temperature || !highest) return found;
  const from = indexAtOrAfter(time, 0);
  const to = Math.min(time.length, indexAtOrAfter(time, endS) + 1);
  const part = temperature.subarray(from, to);
  const [digitK, decimalK] = [digitOf(part), decimalDigit(part)];
  const above = Math.max(
    missedByStanding(subject, { from, to, readC: highest.value, digitK }),
    nextOnLine(subject, to - 1, decimalK, highest.value),
  );
  if (above > 0) found.set("highest-temperature", rectangular(above));
  const { startTemperatureC } = subject;
  const before =
    startTemperatureC === null ? 0 : startTemperatureC - previousOnLine(subject, from, decimalK, startTemperatureC);
  if (before > 0) found.set("start-temperature", rectangular(before));
  const reached = reads.get("time-to-limit");
  const since = reached ? standingBefore(subject, reached.value, from) : 0;
  if (since > 0) found.set("time-to-limit", rectangular(since));
  return found;
}

/** How far the temperature may have been above what was read of it, since a reading or a digit stood at the end, K. */
function missedByStanding(
  { trace }: Probed,
  { from, to, readC, digitK }: { from: number; to: number; readC: number; digitK: number },
): number {
  const { time, current } = trace;
  const celsius = trace.temperature as Float64Array;
  const highest = lastOfHighest(celsius, from, to);
  const stand = standOf({ time, celsius, current, from, to: highest + 1 });
  if (!stand) return 0;
  const stands = (first: number, end: number) =>
    end - first + 1 >= MIN_STANDING && (time[end] as number) - (time[first] as number) >= MIN_STANDING_S;
  const before = stand.first - 1;
  if (!stands(stand.first, stand.last) && !stands(firstOfEqual(celsius, before), before)) return 0;
  // How a course bends is not told within one reading's change.
  const missedK = MAX_GROWTH * Math.max(stand.missedK, Math.min(stand.straightK, stand.changeK));
  return Math.max(0, stand.celsius + missedK - readC - DIGIT_SHARE * digitK);
}

function lastOfHighest(values: Float64Array, from: number, to: number): number {
  let at = from;
  for (let i = from; i < to; i++) if ((values[i] as number) >= (values[at] as number)) at = i;
  return at;
}

function firstOfEqual(values: Float64Array, at: number): number {
  let first = at;
  while (first > 0 && values[first - 1] === values[at]) first--;
  return first;
}

/** How far the next reading lies above what was read, where the sample `at` was filled in on the line to it, K. */
function nextOnLine({ trace }: Probed, at: number, digitK: number, readC: number): number {
  const { time } = trace;
  const celsius = trace.temperature as Float64Array;
  let next = at;
  while (isOnLine(time, celsius, next, digitK)) next++;
  return next === at ? 0 : Math.max(0, (celsius[next] as number) - readC);
}

/** The reading before the sample `at` where that was filled in on the line from it; else `otherwise`, degC. */
function previousOnLine({ trace }: Probed, at: number, digitK: number, otherwise: number): number {
  const { time } = trace;
  const celsius = trace.temperature as Float64Array;
  let previous = Math.max(0, at - 1);
  const isFilled = isOnLine(time, celsius, previous, digitK);
  while (isOnLine(time, celsius, previous, digitK)) previous--;
  return isFilled ? (celsius[previous] as number) : otherwise;
}

/** How long the number before the sample at which the limit was reached had stood, from the onset on at most, s; 0 where it did not stand. */
function standingBefore({ trace, limits }: Probed, reachedS: number, from: number): number {
  const { time } = trace;
  const celsius = trace.temperature as Float64Array;
  let at = indexAtOrAfter(time, reachedS);
  while (at < time.length && (celsius[at] as number) < limits.temperatureLimitC) at++;
  if (at <= from || at >= time.length) return 0;
  const first = Math.max(from, firstOfEqual(celsius, at - 1));
  const seconds = (time[at] as number) - (time[first] as number);
  return at - first >= MIN_STANDING && seconds >= MIN_STANDING_S ? seconds : 0;
}
