import { extremesOfMedians } from "./median-of-three.js";

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

/** Share of the log's largest current from which on something is on. */
const ON_SHARE = 0.05;
/** A pause that is shorter is part of the stretch around it, s. */
const MIN_PAUSE_S = 2;
/** What is shorter is a blip and no stretch, s. */
const MIN_LENGTH_S = 0.5;

/**
 * Every stretch of a log for which current flows one way, in order.
 *
 * @param time rising strictly, s
 * @param current discharge positive, A
 */
export function stretchesOf(time: Float64Array, current: Float64Array): readonly Stretch[] {
  const { least, most } = extremesOfMedians(current);
  const level = ON_SHARE * Math.max(most, -least);
  if (!(level > 0)) return [];
  const spans: { sign: number; from: number; to: number }[] = [];
  for (let at = 0; at < current.length; at++) {
    const amperes = current[at] as number;
    const sign = amperes > level ? 1 : amperes < -level ? -1 : 0;
    if (sign === 0) continue;
    const last = spans.at(-1);
    const goesOn =
      last?.sign === sign && (at === last.to || (time[at] as number) - (time[last.to - 1] as number) < MIN_PAUSE_S);
    if (last && goesOn) last.to = at + 1;
    else spans.push({ sign, from: at, to: at + 1 });
  }
  return spans
    .map(({ sign, from, to }) => stretchOf(time, current, sign, from, to))
    .filter(({ lengthS, to }) => lengthS >= MIN_LENGTH_S || to === current.length);
}

/** The charge by trapezia over its samples, and the current's mean over the time. */
function stretchOf(time: Float64Array, current: Float64Array, sign: number, from: number, to: number): Stretch {
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
    meanA: lengthS > 0 ? Math.abs(ampereSeconds) / lengthS : Math.abs(current[from] as number),
    chargeMah: Math.abs(ampereSeconds) / 3.6,
    from,
    to,
  };
}

/** A stretch in words. */
export function describe({ direction, startS, lengthS, meanA, chargeMah }: Stretch): string {
  return `a ${direction} from ${startS.toFixed(1)} s, ${lengthS.toFixed(1)} s long, ${meanA.toPrecision(3)} A on average, ${chargeMah.toFixed(0)} mAh`;
}
