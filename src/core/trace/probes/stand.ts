import { expm1, log1p } from "../../numerics/library.js";
import { median } from "../../statistics/median.js";

/** Of the readings since a probe first stood at its highest number, at least so many are that number. */
const MIN_STANDING_SHARE = 0.8;
/** The course before is read over two bands, each so many of its changes high, and at least so large a part of its rise. */
const CHANGES_IN_BAND = 3;
const PARTS_OF_RISE = 5;
/** A course that ends more bands above is straight; it is found by so many halvings. */
const MAX_BANDS = 64;
const HALVINGS = 40;
/** Numbers that lie no farther apart are the same, K. */
const SAME_K = 1e-9;

/** Samples of a probe under load, `to` exclusive. */
export interface ProbedSamples {
  readonly time: Float64Array;
  /** degC; NaN where the probe gave none. */
  readonly celsius: Float64Array;
  readonly current: Float64Array;
  readonly from: number;
  readonly to: number;
}

/** How a probe stands still at its highest number up to the end of the load. */
export interface Stand {
  readonly celsius: number;
  /** Its first and last reading at that number, as samples. */
  readonly first: number;
  readonly last: number;
  /** How many readings it has from the one to the other. */
  readonly readings: number;
  /** What the course before it would have risen by until then, K. */
  readonly missedK: number;
  /** The same on a straight line, K. */
  readonly straightK: number;
  /** How far the readings rose before it from the first one under load, and what they change by from one to the next, noise and digits too, K. */
  readonly risenK: number;
  readonly changeK: number;
  /** The heat per second meanwhile over that of the course before. */
  readonly heatShare: number;
}

/** A probe's own readings: their samples, degC, and the heat since the load came on, A^2 s. */
interface Readings {
  readonly samples: Uint32Array;
  readonly celsius: Float64Array;
  readonly heat: Float64Array;
}

/**
 * How a probe stands at its highest number up to the end of the load, and what the course before would have risen by meanwhile. A pack is
 * heated by the square of its current, so its course is read over the integral of that, not over time: a load that is eased slows the rise. Its
 * slope falls in proportion to the rise on the way to an equilibrium: between two bands of temperature below the stand it is read off and carried on.
 *
 * @returns null where the probe does not stand, or not on the way up
 */
export function standOf(probed: ProbedSamples): Stand | null {
  const first = beginOfStand(probed);
  if (first === null) return null;
  const readings = readingsOf(probed);
  const { samples, celsius, heat } = readings;
  const at = samples.indexOf(first);
  const last = samples.length - 1;
  const highest = celsius[at] as number;
  const risenK = highest - (celsius[0] as number);
  if (!(risenK > 0)) return null;
  const changeK = changeBefore(celsius, at);
  const bandK = Math.max(Math.min(CHANGES_IN_BAND * changeK, risenK / 2), risenK / PARTS_OF_RISE);
  const [below, between] = [2, 1].map((bands) => heatAt(readings, highest - bands * bandK, at)) as [number, number];
  const top = heat[at] as number;
  const meanwhile = (heat[last] as number) - top;
  const seconds = (from: number, to: number) =>
    (probed.time[samples[to] as number] as number) - (probed.time[samples[from] as number] as number);
  const since = Math.max(0, heat.findIndex((value) => value >= below) - 1);
  const stoodS = seconds(at, last);
  return {
    celsius: highest,
    first,
    last: samples[last] as number,
    readings: samples.length - at,
    missedK: rises(between - below, top - between, bandK, meanwhile),
    straightK: top > between ? (bandK / (top - between)) * meanwhile : 0,
    risenK,
    changeK,
    heatShare: stoodS > 0 ? meanwhile / stoodS / ((top - (heat[since] as number)) / seconds(since, at)) : 0,
  };
}

/** The first sample at the highest number from which on nearly all readings are; null where they are not. */
function beginOfStand({ celsius, from, to }: ProbedSamples): number | null {
  let highest = Number.NEGATIVE_INFINITY;
  for (let i = from; i < to; i++) if ((celsius[i] as number) > highest) highest = celsius[i] as number;
  let begin: number | null = null;
  let [standing, readings] = [0, 0];
  for (let i = to - 1; i >= from; i--) {
    const value = celsius[i] as number;
    if (!Number.isFinite(value)) continue;
    readings++;
    if (value !== highest) continue;
    standing++;
    if (standing >= MIN_STANDING_SHARE * readings) begin = i;
  }
  return begin;
}

function readingsOf({ time, celsius, current, from, to }: ProbedSamples): Readings {
  const samples = new Uint32Array(to - from);
  const [values, heats] = [new Float64Array(to - from), new Float64Array(to - from)];
  let count = 0;
  let heat = 0;
  for (let i = from; i < to; i++) {
    if (i > from) {
      const [before, now] = [current[i - 1] as number, current[i] as number];
      heat += ((before * before + now * now) / 2) * ((time[i] as number) - (time[i - 1] as number));
    }
    const value = celsius[i] as number;
    if (!Number.isFinite(value)) continue;
    samples[count] = i;
    values[count] = value;
    heats[count] = heat;
    count++;
  }
  return { samples: samples.subarray(0, count), celsius: values.subarray(0, count), heat: heats.subarray(0, count) };
}

/**
 * What a course rises on by while it takes up `heat`, K, whose rise by two equal bands took the heats `earlier` and `later`: on a straight line where the
 * later was no longer, else on the exponential through the three points, which ends `x` bands above the last of them:
 * later / earlier = ln((x + 1) / x) / ln((x + 2) / (x + 1)).
 */
function rises(earlier: number, later: number, bandK: number, heat: number): number {
  if (!(later > 0)) return 0;
  const ratio = later / earlier;
  if (!(ratio > ratioAt(MAX_BANDS))) return (bandK / later) * heat;
  let [low, high] = [0, MAX_BANDS];
  for (let i = 0; i < HALVINGS; i++) {
    const middle = (low + high) / 2;
    if (ratioAt(middle) > ratio) low = middle;
    else high = middle;
  }
  return high * bandK * -expm1((-heat / later) * log1p(1 / high));
}

const ratioAt = (bands: number): number => log1p(1 / bands) / log1p(1 / (bands + 1));

/** By how much readings differ from their neighbours where they do, at the median, or lie below the highest one before on average, K. */
function changeBefore(celsius: Float64Array, end: number): number {
  const changes: number[] = [];
  let [highest, fallen] = [celsius[0] as number, 0];
  for (let i = 1; i <= end; i++) {
    const value = celsius[i] as number;
    const change = Math.abs(value - (celsius[i - 1] as number));
    if (change > SAME_K) changes.push(change);
    highest = Math.max(highest, value);
    fallen += highest - value;
  }
  return Math.max(median(Float64Array.from(changes)), fallen / end);
}

/** The heat at which the readings up to `end` reach a level: midway between the first time that they do and the last time. */
function heatAt({ celsius, heat }: Readings, level: number, end: number): number {
  let first = 0;
  while ((celsius[first] as number) < level && first < end) first++;
  let last = end;
  while (last > 0 && (celsius[last - 1] as number) >= level) last--;
  return (along(celsius, heat, level, first) + along(celsius, heat, level, last)) / 2;
}

/** On the line from where the number before a reading came first to that reading. */
function along(celsius: Float64Array, heat: Float64Array, level: number, at: number): number {
  if (at === 0) return heat[0] as number;
  const low = celsius[at - 1] as number;
  let begin = at - 1;
  while (begin > 0 && celsius[begin - 1] === low) begin--;
  const share = (level - low) / ((celsius[at] as number) - low);
  return (heat[begin] as number) + share * ((heat[at] as number) - (heat[begin] as number));
}
