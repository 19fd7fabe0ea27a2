import { extremesOfMedians, medianOfThree } from "./median-of-three.js";
import { findOnset } from "./onset.js";

/** One time for which a load or a charger was on. Times are those of the samples given, s. */
export interface Stretch {
  readonly direction: "discharge" | "charge";
  readonly startS: number;
  readonly lengthS: number;
  readonly meanA: number;
  readonly chargeMah: number;
  /** Its samples, `to` exclusive. */
  readonly from: number;
  readonly to: number;
}

/** Share of the way from the rest's reading to the log's largest current from which on something is on. */
const ON_SHARE = 0.05;
/** A pause that is shorter is part of the stretch around it, s. */
const MIN_PAUSE_S = 2;
/** A trial with less than this share of the charge that follows ends where a load phase does: its pause is logged for this long, s. */
const MAX_TRIAL_SHARE = 0.01;
const MIN_PAUSE_AFTER_TRIAL_S = 0.5;
/** What is on for a shorter time is a blip and no stretch, s. */
const MIN_LENGTH_S = 0.5;
const MIN_SAMPLES = 2;

/** Samples of one direction without a break, `to` exclusive. */
interface Span {
  readonly sign: number;
  readonly from: number;
  readonly to: number;
}

/**
 * Definition 6a: every stretch of a log for which current flows one way, in order. A spike or a blip neither makes a stretch nor parts one,
 * and what the sensor reads at rest is none.
 *
 * @param time rising strictly, s
 * @param current discharge positive, A
 */
export function stretchesOf(time: Float64Array, current: Float64Array): readonly Stretch[] {
  const onset = findOnset(time, current);
  if (!onset) return [];
  const middle = current.map((_, at) => medianOfThree(current, at));
  const level = ON_SHARE * (extremesOfMedians(current).most - onset.restA);
  const joined: Stretch[] = [];
  for (const span of spansOf(middle, onset.restA, level)) {
    if (!isHeld(time, span)) continue;
    const next = stretchOf(time, middle, span);
    const last = joined.at(-1);
    if (last && goesOn(time, last, next))
      joined[joined.length - 1] = stretchOf(time, middle, { ...span, from: last.from });
    else joined.push(next);
  }
  return joined;
}

function goesOn(time: Float64Array, last: Stretch, next: Stretch): boolean {
  if (last.direction !== next.direction) return false;
  const loggedS = (time[next.from - 1] as number) - (time[last.to] as number);
  if (last.chargeMah < MAX_TRIAL_SHARE * next.chargeMah) return loggedS < MIN_PAUSE_AFTER_TRIAL_S;
  return (time[next.from] as number) - (time[last.to - 1] as number) < MIN_PAUSE_S;
}

/** What stays farther than `level` above the rest's reading, or below it and below nothing: no reading of a discharge is a charge. */
function spansOf(current: Float64Array, restA: number, level: number): readonly Span[] {
  const spans: Span[] = [];
  const signAt = (at: number) => {
    const amperes = (current[at] as number) - restA;
    return amperes > level ? 1 : Math.max(amperes, current[at] as number) < -level ? -1 : 0;
  };
  for (let from = 0, to = 0; from < current.length; from = to) {
    const sign = signAt(from);
    for (to = from + 1; to < current.length && signAt(to) === sign; ) to++;
    if (sign !== 0) spans.push({ sign, from, to });
  }
  return spans;
}

/** Whether it lasts to the log's end or for long enough. */
function isHeld(time: Float64Array, { from, to }: Span): boolean {
  const next = time[to];
  return to - from >= MIN_SAMPLES && (next === undefined || next - (time[from] as number) >= MIN_LENGTH_S);
}

/** The charge by trapezia over its samples, and the current's mean over the time. */
function stretchOf(time: Float64Array, current: Float64Array, { sign, from, to }: Span): Stretch {
  let ampereSeconds = 0;
  for (let at = from + 1; at < to; at++) {
    const dt = (time[at] as number) - (time[at - 1] as number);
    ampereSeconds += (dt * ((current[at] as number) + (current[at - 1] as number))) / 2;
  }
  const startS = time[from] as number;
  const lengthS = (time[to - 1] as number) - startS;
  return {
    direction: sign > 0 ? "discharge" : "charge",
    startS,
    lengthS,
    meanA: Math.abs(ampereSeconds) / lengthS,
    chargeMah: Math.abs(ampereSeconds) / 3.6,
    from,
    to,
  };
}

/** A stretch in words. */
export function describe({ direction, startS, lengthS, meanA, chargeMah }: Stretch): string {
  return `a ${direction} from ${startS.toFixed(1)} s, ${lengthS.toFixed(1)} s long, ${meanA.toPrecision(3)} A on average, ${chargeMah.toFixed(0)} mAh`;
}
