import { median } from "../statistics/median.js";
import { extremesOfMedians } from "./median-of-three.js";
import { indexAtOrAfter } from "./series.js";

/** A current above this share of the log's largest one, for this long, s, is a load, whatever the sensor reads at rest. */
const LOAD_SHARE = 0.15;
const LOAD_SECONDS = 0.5;
/** Share of the way from the rest's reading to the log's largest current above which the load is taken to have begun. */
const LOAD_BEGUN_SHARE = 0.05;
/** So long before that, s, or one sample, may the load have begun: what draws a little for longer is a spin-up. */
const LOAD_BEGINS_WITHIN_S = 1;
/** What the sensor reads at rest is looked for over this long before the load, s; in slow logs in its last two samples. */
const REST_CURRENT_SECONDS = 3;
/** A rest before a spin-up is looked for in blocks of this length, s, which begin half of it after one another. */
const REST_BLOCK_SECONDS = 1;
/** It is one where it lies so far from what comes after: this share of the largest current, so many changes between neighbours, so many digits. */
const APART_SHARE = 0.01;
const APART_CHANGES = 3;
const APART_DIGITS = 2;
const MIN_CHANGES = 10;
/**
 * Readings about that just before the load belong to the rest, a charge, a spin-up or a blip does not: within this share of the load, or so
 * many times the median change between neighbours.
 */
const REST_SHARE = 0.005;
const REST_CHANGES = 6;
/** Of the samples that the rest voltage is read from, so many may be no rest. */
const MAX_RESTLESS_SHARE = 0.25;
const LOAD_CURRENT_SECONDS = 5;
const REST_VOLTAGE_SECONDS = 1;
const SLOW_REST_SECONDS = 60;

/** When and how the load came on. Times are those of the samples given. */
export interface Onset {
  /** I_hi: median current of the samples under load within its first 5 s, A. */
  readonly loadCurrentA: number;
  /** What the current sensor reads just before the load, A; 0 when the log begins under load. */
  readonly restA: number;
  /** Where the current first crosses the middle between both. */
  readonly instant: number;
  /** Where the current leaves 10 % of the way on its way up; null when the log begins above it. */
  readonly riseFrom: number | null;
  readonly riseSeconds: number | null;
  /** How many samples precede the rise. */
  readonly restSamples: number;
}

/**
 * Definitions 7 to 9. Levels of the current are counted from what the sensor reads at rest, `restA`, so that an offset is not read as a
 * load; the load current is as logged.
 *
 * @param knownRestA what the sensor reads at rest, A; taken from the samples before the load when left out
 * @returns null when no current was ever drawn for long enough
 */
export function findOnset(time: Float64Array, current: Float64Array, knownRestA?: number): Onset | null {
  const largest = extremesOfMedians(current).most;
  const loaded = loadedIndex(time, current, LOAD_SHARE * largest);
  if (loaded === null || !(largest > 0)) return null;
  const restA = knownRestA ?? readingAtRest(time, current, loaded, largest);
  const minA = level(restA, largest, LOAD_BEGUN_SHARE);
  let begun = loaded;
  const earliest = Math.min(loaded - 1, indexAtOrAfter(time, (time[loaded] as number) - LOAD_BEGINS_WITHIN_S));
  while (begun > Math.max(0, earliest) && (current[begun - 1] as number) > minA) begun--;
  let loadCurrentA = loadFrom(time, current, begun, minA);
  if (Number.isNaN(loadCurrentA)) {
    // The load grows so slowly that 3 s before are no rest: the first sample above that level is found later.
    begun = loaded;
    while (begun + 1 < current.length && !((current[begun] as number) > minA)) begun++;
    loadCurrentA = loadFrom(time, current, begun, minA);
    while (begun > 0 && (current[begun - 1] as number) >= level(restA, loadCurrentA, 0.5)) begun--;
  }
  const [low, middle, high] = [0.1, 0.5, 0.9].map((share) => level(restA, loadCurrentA, share)) as [
    number,
    number,
    number,
  ];
  const onsetIndex = firstAbove(current, middle, begun);
  const fullIndex = firstAbove(current, high, begun);
  let restSamples = fullIndex;
  while (restSamples > 0 && (current[restSamples - 1] as number) >= low) restSamples--;
  const instant = reached(time, current, onsetIndex, middle);
  if (restSamples === 0) return { loadCurrentA, restA, instant, riseFrom: null, riseSeconds: null, restSamples };
  const riseFrom = crossing(time, current, restSamples, low);
  const riseTo = reached(time, current, fullIndex, high);
  return { loadCurrentA, restA, instant, riseFrom, riseSeconds: riseTo - riseFrom, restSamples };
}

/** When a level is reached that sample `i` is above: at that sample where the one before is too, as when the load began in a slow rise. */
function reached(time: Float64Array, current: Float64Array, i: number, levelA: number): number {
  const isAbove = i === 0 || (current[i - 1] as number) >= levelA;
  return isAbove ? (time[i] as number) : crossing(time, current, i, levelA);
}

/** Median of the samples above `minA` within 5 s from the sample `begun` on; NaN when there are none. */
function loadFrom(time: Float64Array, current: Float64Array, begun: number, minA: number): number {
  const until = indexAtOrAfter(time, (time[begun] as number) + LOAD_CURRENT_SECONDS);
  return median(current.subarray(begun, until).filter((amperes) => amperes > minA));
}

const level = (restA: number, loadA: number, share: number): number => restA + share * (loadA - restA);

/**
 * Index of the first of a stretch of at least 0.5 s above `least`, so that a short blip before the run is not taken for the load. Null when
 * there is none.
 */
function loadedIndex(time: Float64Array, current: Float64Array, least: number): number | null {
  let first: number | null = null;
  for (let i = 0; i < current.length; i++) {
    if (!((current[i] as number) > least)) first = null;
    else {
      first ??= i;
      const next = time[i + 1];
      if (next === undefined || next - (time[first] as number) >= LOAD_SECONDS) return first;
    }
  }
  return null;
}

/**
 * Median of the samples that are no load and were logged just before it; 0 where there are none. Where the current came nearer to nothing for a
 * second of the minute before, that is the rest, and a spin-up, a slow rise or a charger came after it.
 */
function readingAtRest(time: Float64Array, current: Float64Array, loaded: number, largest: number): number {
  const loadedS = time[loaded] as number;
  const recent = Math.min(indexAtOrAfter(time, loadedS - REST_CURRENT_SECONDS), Math.max(0, loaded - 2));
  const minute = indexAtOrAfter(time, loadedS - SLOW_REST_SECONDS);
  const last = current.subarray(Math.max(recent, minute), loaded).filter((amperes) => amperes <= LOAD_SHARE * largest);
  if (last.length === 0) return 0;
  const lastA = median(last);
  const stillest = stillestReading(time, current, minute, loaded);
  const changes = changesOf(current, minute, loaded);
  const digit = digitOf(changesOf(current, 0, current.length));
  const apart = Math.max(APART_SHARE * largest, APART_CHANGES * medianOrNone(changes), APART_DIGITS * digit);
  if (stillest === null || Math.abs(stillest) >= Math.abs(lastA) || Math.abs(lastA - stillest) <= apart) return lastA;
  const width = Math.max(REST_SHARE * largest, REST_CHANGES * medianOrNone(changes), digit);
  const rest = current.subarray(minute, loaded).filter((amperes) => Math.abs(amperes - stillest) <= width);
  // The median of two readings may be near neither.
  return rest.length > 0 ? median(rest) : lastA;
}

/** The median nearest to nothing of the blocks of a second, at least two samples, between two samples; null where there is no block. */
function stillestReading(time: Float64Array, current: Float64Array, from: number, to: number): number | null {
  let stillest: number | null = null;
  for (let first = from; first < to; ) {
    const startS = time[first] as number;
    const end = Math.max(first + 2, indexAtOrAfter(time, startS + REST_BLOCK_SECONDS));
    if (end > to) break;
    const amperes = median(current.subarray(first, end));
    if (stillest === null || Math.abs(amperes) < Math.abs(stillest)) stillest = amperes;
    first = Math.max(first + 1, indexAtOrAfter(time, startS + REST_BLOCK_SECONDS / 2));
  }
  return stillest;
}

const changesOf = (values: Float64Array, from: number, to: number): Float64Array =>
  values.subarray(Math.min(from + 1, to), to).map((value, i) => Math.abs(value - (values[from + i] as number)));

const medianOrNone = (values: Float64Array): number => (values.length > 0 ? median(values) : 0);

/** The least of a log's changes, which is the step of the digits; 0 where there are too few to show it. */
function digitOf(changes: Float64Array): number {
  const moved = changes.filter((change) => change > 0);
  return moved.length < MIN_CHANGES ? 0 : moved.reduce((least, change) => Math.min(least, change), moved[0] as number);
}

/** How far a reading among the samples [from, to) may lie from what the sensor reads at rest and belong to the rest, A. */
export function restWidth(current: Float64Array, from: number, to: number, { loadCurrentA, restA }: Onset): number {
  return Math.max(REST_SHARE * (loadCurrentA - restA), REST_CHANGES * medianOrNone(changesOf(current, from, to)));
}

/**
 * First and last sample index (exclusive) of the last second before the rise; of a log that is too slow for that, its last two
 * samples in the minute before the rise. Where a quarter of them are no rest, that of the rest before. Null when there are none (definition 11).
 */
export function restWindow(
  time: Float64Array,
  current: Float64Array,
  onset: Onset,
): { from: number; to: number } | null {
  const { riseFrom, restSamples, restA } = onset;
  if (riseFrom === null) return null;
  const minute = indexAtOrAfter(time, riseFrom - SLOW_REST_SECONDS);
  const width = restWidth(current, minute, restSamples, onset);
  const isRest = (i: number) => Math.abs((current[i] as number) - restA) <= width;
  const last = windowBefore(time, restSamples, riseFrom, riseFrom);
  if (!last) return null;
  let restless = 0;
  for (let i = last.from; i < last.to; i++) if (!isRest(i)) restless++;
  if (restless <= MAX_RESTLESS_SHARE * (last.to - last.from)) return last;
  let to = last.to;
  while (to > minute && !isRest(to - 1)) to--;
  return to > minute ? windowBefore(time, to, time[to - 1] as number, riseFrom) : last;
}

/** The samples before `to` from a second before `instant` on, or the last two of them in the minute before the rise. */
function windowBefore(time: Float64Array, to: number, instant: number, riseFrom: number) {
  const from = indexAtOrAfter(time, instant - REST_VOLTAGE_SECONDS);
  if (to - from >= 2) return { from, to };
  const isRecent = to >= 2 && (time[to - 2] as number) >= riseFrom - SLOW_REST_SECONDS;
  return isRecent ? { from: to - 2, to } : null;
}

function firstAbove(values: Float64Array, level: number, from: number): number {
  for (let i = from; i < values.length; i++) if ((values[i] as number) >= level) return i;
  return values.length - 1;
}

/** Where the line between the samples `index - 1` and `index` meets `level`. */
function crossing(time: Float64Array, values: Float64Array, index: number, level: number): number {
  const t0 = time[index - 1] as number;
  const v0 = values[index - 1] as number;
  return t0 + (((time[index] as number) - t0) * (level - v0)) / ((values[index] as number) - v0);
}
