import type { Trace } from "../model.js";
import { firstReach, indexAtOrAfter, mean, valueAt } from "../trace/series.js";

/** The samples of a run from onset (interpolated) to the end of its load phase. */
export interface Loaded {
  readonly time: Float64Array;
  readonly voltage: Float64Array;
  readonly current: Float64Array;
  /** Drawn since onset, As. */
  readonly charge: Float64Array;
  /** Integral of I over the charge drawn, A^2 s: what warms the pack. */
  readonly heat: Float64Array;
}

export function loadedPart(trace: Trace, loadEndS: number): Loaded {
  const first = indexAtOrAfter(trace.time, 0);
  const last = indexAtOrAfter(trace.time, loadEndS);
  const interpolated = trace.time[first] === 0 ? 0 : 1;
  const cut = (values: Float64Array) => {
    const part = new Float64Array(last + 1 - first + interpolated);
    part[0] = valueAt(trace.time, values, 0);
    part.set(values.subarray(first, last + 1), interpolated);
    return part;
  };
  const time = cut(trace.time);
  time[0] = 0;
  const current = cut(trace.current);
  const charge = new Float64Array(time.length);
  const heat = new Float64Array(time.length);
  for (let i = 1; i < time.length; i++) {
    const amps = ((current[i] as number) + (current[i - 1] as number)) / 2;
    const drawn = ((time[i] as number) - (time[i - 1] as number)) * amps;
    charge[i] = (charge[i - 1] as number) + drawn;
    heat[i] = (heat[i - 1] as number) + drawn * amps;
  }
  return { time, voltage: cut(trace.voltage), current, charge, heat };
}

/** How a load came on: its current as a share of what it drew once it was on, until `endS`. */
export interface Rise {
  readonly endS: number;
  /** Rising times from onset with the share at each. */
  readonly time: Float64Array;
  readonly share: Float64Array;
}

const RISEN_SHARE = 0.9;
/** From half to 90 % a load takes about as long as from there until it is fully on. */
const WHOLE_RISE = 2;
const FULLY_ON_S = 0.25;

/** The rise of a load whose current over its first 5 s is `loadCurrentA`. */
export function riseOf({ time, current }: Loaded, loadCurrentA: number): Rise {
  const last = time[time.length - 1] as number;
  const risen = firstReach(time, current, RISEN_SHARE * loadCurrentA, "up", 0, last) ?? 0;
  const endS = WHOLE_RISE * risen;
  const to = indexAtOrAfter(time, endS);
  const full = mean(time, current, endS, endS + FULLY_ON_S);
  return { endS, time: time.subarray(0, to), share: current.subarray(0, to).map((amps) => Math.min(1, amps / full)) };
}

/** Share of the load that is on at an instant; 1 once the rise has ended. */
export function shareAt({ endS, time, share }: Rise, seconds: number): number {
  return seconds >= endS || time.length === 0 ? 1 : valueAt(time, share, seconds);
}
