import { median } from "../../statistics/median.js";
import { extremesOfMedians } from "../median-of-three.js";
import { indexAtOrAfter } from "../series.js";

/** A channel whose readings are repeated row after row until its meter gives a new one. */
export interface RepeatedChannel {
  /** The time from one new reading to the next, s. */
  readonly intervalS: number;
  /** The samples whose value is another than that of the sample before. */
  readonly changes: Uint32Array;
  /** The samples that are the first with their reading, in rising order. */
  readonly first: Uint32Array;
}

/** A current above this share of the largest one is a load: at rest readings are equal without being repeated. */
const LOAD_SHARE = 0.15;
/** Relative difference below which two readings are the same number. */
const SAME_VALUE = 1e-9;
/** Fewer changes show no interval. */
const MIN_CHANGES = 8;
/** Below so many rows to a reading nothing is gained. */
const MIN_ROWS = 1.4;
/** From so many rows to a reading on, its instants alone tell a meter from a slow channel; also those of one with jitter. */
const MIN_ROWS_FOR_INSTANTS = 2.5;
const MIN_ROWS_FOR_JITTER = 8;
/** So many digits in one row are no drift over the edge of a digit, and no step of a converter that is written in finer digits. */
const JUMP_DIGITS = 2.5;
const MIN_JUMPS = 4;
/** Least share of the changes that are jumps, where the instants say little, and where they are those of a meter. */
const MIN_JUMP_SHARE = 0.5;
const MIN_JUMP_SHARE_AT_INSTANTS = 0.15;
/** A jump tells of a meter where its reading stood for this share of the interval before and after. */
const STOOD_SHARE = 0.6;
const STOOD_SHARE_FOR_STEPS = 0.75;
/** Least share of the times between changes that are whole intervals, and how far one may be off: one row, and this share of the interval. */
const MIN_REGULAR_SHARE = 0.9;
const JITTER_SHARE = 0.2;
/** The same of a meter without jitter. */
const MIN_STRICT_SHARE = 0.95;
const ROUNDING_SHARE = 0.03;
/** So many times tell that, without jitter and with it. */
const MIN_TIMES = 16;
const MIN_TIMES_WITH_JITTER = 32;
/** Least share of the times that are one interval, and of those that are several: a slow channel has no two such times. */
const MIN_MIXED_SHARE = 0.1;
/** A channel that takes fewer values flickers between digits, which a ripple may do as regularly as a meter. */
const MIN_LEVELS = 8;
/** Steps that grow and shrink by this factor along the run, while their times stay, are no digits; told by the means of so many steps. */
const MIN_STEPS_RATIO = 2;
const STEPS_TO_MEAN = 8;
/** Times that differ by less are one instant, s. */
const SAME_INSTANT_S = 1e-6;

/** Bounds of the samples that tell whether readings are repeated: those from the first to the last one under load. */
export interface LoadedSamples {
  readonly from: number;
  readonly to: number;
}

/** Samples from the first to the last one above a share of the largest current, `to` exclusive. */
export function loadedSamples(current: Float64Array): LoadedSamples {
  const least = LOAD_SHARE * extremesOfMedians(current).most;
  const isLoaded = (amperes: number) => amperes > least;
  return { from: Math.max(0, current.findIndex(isLoaded)), to: current.findLastIndex(isLoaded) + 1 };
}

/**
 * Definition 2a: the interval at which a channel's readings change, where its rows repeat them. Coarse digits repeat numbers too, but then the channel steps by one
 * digit wherever it crosses an edge; a meter's readings step by several digits at a time, at regular instants.
 *
 * @param time rising strictly, s
 * @param loaded the samples that are looked at
 * @returns null where each row has a reading of its own, or that cannot be told
 */
export function repeatedReadings(
  time: Float64Array,
  values: Float64Array,
  { from, to }: LoadedSamples,
): RepeatedChannel | null {
  const changes = changesOf(values);
  const seen = changes.filter((at) => at > from && at < to);
  const rowS = rowInterval(time, { from, to });
  if (seen.length < MIN_CHANGES || !(to - from >= MIN_ROWS * seen.length)) return null;
  const lasted = seen.subarray(1).map((at, k) => at - (seen[k] as number));
  const seconds = Float64Array.from(
    lasted,
    (_, k) => (time[seen[k + 1] as number] as number) - (time[seen[k] as number] as number),
  );
  const intervalS = intervalOf(seconds, rowS);
  return isRead({ values, changes: seen, seconds, intervalS, rowS })
    ? { intervalS, changes, first: firstSamples(time, changes, intervalS) }
    : null;
}

/** The changes of a channel under load, and the time from each to the next. */
interface Changes {
  readonly values: Float64Array;
  readonly changes: Uint32Array;
  readonly seconds: Float64Array;
  readonly intervalS: number;
  readonly rowS: number;
}

/** Whether the changes are those of a meter that is read more often than it measures. */
function isRead(seen: Changes): boolean {
  const { seconds, intervalS, rowS } = seen;
  if (!(intervalS >= MIN_ROWS * rowS)) return false;
  const isRegular = wholeShare(seen, rowS + JITTER_SHARE * intervalS) >= MIN_REGULAR_SHARE;
  if (isRegular && areJumps(seen, MIN_JUMP_SHARE)) return true;
  const strictly = rowS + ROUNDING_SHARE * intervalS;
  const isStrict = seconds.length >= MIN_TIMES && wholeShare(seen, strictly) >= MIN_STRICT_SHARE;
  if (isStrict && varies(seen) && singleShare(seen, strictly) >= MIN_STRICT_SHARE) return true;
  const areInstants =
    (isStrict && intervalS >= MIN_ROWS_FOR_INSTANTS * rowS) ||
    (isRegular && intervalS >= MIN_ROWS_FOR_JITTER * rowS && seconds.length >= MIN_TIMES_WITH_JITTER);
  return areInstants && (areJumps(seen, MIN_JUMP_SHARE_AT_INSTANTS) || areMixed(seen) || varies(seen));
}

/** Median time between rows, s. */
export function rowInterval(time: Float64Array, { from, to }: LoadedSamples): number {
  const rows = Float64Array.from({ length: Math.max(0, to - from - 1) }, (_, i) => {
    return (time[from + i + 1] as number) - (time[from + i] as number);
  });
  return rows.length > 0 ? median(rows) : Number.NaN;
}

/** The samples whose value is another than that of the sample before. */
function changesOf(values: Float64Array): Uint32Array {
  const changes: number[] = [];
  for (let i = 1; i < values.length; i++) {
    const [before, value] = [values[i - 1] as number, values[i] as number];
    if (Math.abs(value - before) > SAME_VALUE * Math.max(1, Math.abs(value))) changes.push(i);
  }
  return Uint32Array.from(changes);
}

/** Mean time from one reading to the next: two equal readings in a row make one time of two intervals. */
function intervalOf(seconds: Float64Array, rowS: number): number {
  const rising = Float64Array.from(seconds).sort();
  const low = rising[Math.floor(rising.length / 4)] as number;
  const single = rising.filter((one) => one <= Math.max(low + 1.5 * rowS, 1.5 * low));
  const about = sumOf(single) / single.length;
  return sumOf(seconds) / sumOf(seconds.map((one) => intervalsIn(one, about)));
}

const sumOf = (values: Float64Array): number => values.reduce((sum, value) => sum + value, 0);

const intervalsIn = (seconds: number, intervalS: number): number => Math.max(1, Math.round(seconds / intervalS));

/** Share of the times that are whole intervals, within `within`. */
function wholeShare({ seconds, intervalS }: Changes, within: number): number {
  const whole = seconds.filter((one) => Math.abs(one - intervalsIn(one, intervalS) * intervalS) <= within);
  return whole.length / seconds.length;
}

/** Share of the times that are one interval, within `within`. */
const singleShare = ({ seconds, intervalS }: Changes, within: number): number =>
  seconds.filter((one) => Math.abs(one - intervalS) <= within).length / seconds.length;

const stepAt = (values: Float64Array, at: number): number =>
  Math.abs((values[at] as number) - (values[at - 1] as number));

/** Whether so many of the changes are jumps over several digits between readings that stood. */
function areJumps(seen: Changes, minShare: number): boolean {
  const { values, changes } = seen;
  const decadeOf = (at: number) => decade(Math.max(Math.abs(values[at] as number), Math.abs(values[at - 1] as number)));
  const digits = new Map<number, number>();
  for (const at of changes) {
    digits.set(decadeOf(at), Math.min(stepAt(values, at), digits.get(decadeOf(at)) ?? Number.POSITIVE_INFINITY));
  }
  const jumps = between(seen, STOOD_SHARE).filter((at) => {
    return stepAt(values, at) >= JUMP_DIGITS * (digits.get(decadeOf(at)) as number);
  });
  return jumps.length >= Math.max(MIN_JUMPS, minShare * (changes.length - 2));
}

/** Whether times of one interval stand beside times of several, in a channel that does more than to flicker. */
function areMixed({ values, changes, seconds, intervalS }: Changes): boolean {
  const levels = new Set(Array.from(changes, (at) => values[at] as number));
  if (levels.size < MIN_LEVELS) return false;
  const several = seconds.filter((one) => intervalsIn(one, intervalS) > 1).length / seconds.length;
  return several >= MIN_MIXED_SHARE && several <= 1 - MIN_MIXED_SHARE;
}

/** Whether the steps between readings that stood grow or shrink along the run. */
function varies(seen: Changes): boolean {
  const steps = between(seen, STOOD_SHARE_FOR_STEPS).map((at) => stepAt(seen.values, at));
  let [least, most] = [Number.POSITIVE_INFINITY, 0];
  for (let from = 0; from + STEPS_TO_MEAN <= steps.length; from += STEPS_TO_MEAN) {
    const sum = steps.slice(from, from + STEPS_TO_MEAN).reduce((all, step) => all + step, 0);
    least = Math.min(least, sum);
    most = Math.max(most, sum);
  }
  return most >= MIN_STEPS_RATIO * least;
}

/** The changes between readings that stood for a share of the interval, before and after. */
function between({ changes, seconds, intervalS }: Changes, share: number): number[] {
  const stood = (k: number) => (seconds[k] as number) >= share * intervalS;
  return Array.from(changes.subarray(1, -1)).filter((_, k) => stood(k) && stood(k + 1));
}

/** The power of ten at or below a magnitude: numbers written with as many figures have finer digits in a lower one. */
function decade(magnitude: number): number {
  let power = 1;
  while (power <= magnitude / 10) power *= 10;
  return power;
}

/** The changes, and in between and beyond, where a reading came out as the one before, the first sample after each interval. */
function firstSamples(time: Float64Array, changes: Uint32Array, intervalS: number): Uint32Array {
  const first: number[] = [];
  const [begin, end] = [time[0] as number, time.at(-1) as number];
  const add = (instant: number) => {
    const at = indexAtOrAfter(time, instant - SAME_INSTANT_S);
    if (at < time.length && at > (first.at(-1) ?? -1)) first.push(at);
  };
  const firstS = time[changes[0] as number] as number;
  for (let before = Math.floor((firstS - begin) / intervalS); before > 0; before--) add(firstS - before * intervalS);
  for (const [k, at] of changes.entries()) {
    const sinceS = time[at] as number;
    const next = changes[k + 1];
    const lastedS = (next === undefined ? end : (time[next] as number)) - sinceS;
    const readings = next === undefined ? Math.floor(lastedS / intervalS) + 1 : Math.round(lastedS / intervalS);
    const everyS = next === undefined ? intervalS : lastedS / readings;
    if (at > (first.at(-1) ?? -1)) first.push(at);
    for (let reading = 1; reading < readings; reading++) add(sinceS + reading * everyS);
  }
  return Uint32Array.from(first);
}
