import type { Trace } from "../../model.js";
import { hypot } from "../../numerics/hypot.js";
import { square } from "../../numerics/square.js";
import { indexAtOrAfter, mean } from "../../trace/series.js";
import { sampleNoise } from "../../uncertainty/sample-noise.js";

/** This long before and after the middle of a step the current is settled, s. */
const MARGIN_S = 0.4;
/** How long voltage and current are averaged over on either side, s. */
const WINDOW_S = 0.5;
/** A current that rises by less than this share of the load within twice the margin is no step. */
const MIN_RISE_SHARE = 0.1;
/** Range of the current within a window, as a share of the step, up to which it is settled. */
const SETTLED_SHARE = 0.2;
/** In a slower log, a channel that is read anew only every few rows would lag behind the other by more than the margin. */
const MIN_SAMPLES = 4;

/** A rise of the current from one level to another, and how the voltage answered it. */
export interface LoadStep {
  /** Middle of the rise, s from onset. */
  readonly atS: number;
  /** Middle of both levels, A. */
  readonly levelA: number;
  /** Fall of the voltage over the rise of the current, ohm. */
  readonly ohm: number;
  /** Standard uncertainty that noise and digits leave in it; what instruments and leads add is alike in all steps, ohm. */
  readonly uncertaintyOhm: number;
}

/** Half-widths of what the instruments are stated to read within; their digits are no coarser. */
export interface StatedHalfWidths {
  readonly volts: number;
  readonly amperes: number;
}

/** The part of a trace between two samples, `to` exclusive, with its instants. */
interface Window {
  readonly from: number;
  readonly to: number;
  readonly fromS: number;
  readonly toS: number;
}

interface Rise {
  readonly atS: number;
  readonly before: Window;
  readonly after: Window;
  readonly fromA: number;
  readonly toA: number;
}

/**
 * The steps by which a load rises up to `endS`, in the order of time: between the means from 0.9 to 0.4 s before and from 0.4 to
 * 0.9 s after. Rises that take longer, or that another change follows too soon, are left out.
 *
 * @param loadCurrentA I_hi
 */
export function loadSteps(trace: Trace, loadCurrentA: number, endS: number, stated: StatedHalfWidths): LoadStep[] {
  const rises = middlesOfRises(trace, MIN_RISE_SHARE * loadCurrentA, endS)
    .filter((atS) => atS + MARGIN_S + WINDOW_S <= endS)
    .flatMap((atS) => riseAt(trace, atS) ?? []);
  if (rises.length === 0) return [];
  const windows = rises.flatMap(({ before, after }) => [before, after]);
  const voltageNoise = noiseOfMean(trace.voltage, windows, stated.volts);
  const currentNoise = noiseOfMean(trace.current, windows, stated.amperes);
  return rises.map(({ atS, before, after, fromA, toA }) => {
    const risen = toA - fromA;
    const fallen = meanOf(trace, "voltage", before) - meanOf(trace, "voltage", after);
    const ohm = fallen / risen;
    const uncertaintyOhm =
      hypot(voltageNoise(before), voltageNoise(after), ohm * currentNoise(before), ohm * currentNoise(after)) / risen;
    return { atS, levelA: (fromA + toA) / 2, ohm, uncertaintyOhm };
  });
}

/**
 * Where the current gets higher by `leastA` within twice the margin: the middle of each such stretch, s. A step makes one as long as
 * the margin or longer; shorter ones are noise, of which a log may be full.
 */
function middlesOfRises({ time, current }: Trace, leastA: number, endS: number): number[] {
  const middles: number[] = [];
  let before = 0;
  let after = 0;
  let beganS: number | null = null;
  for (let i = 0; i < time.length; i++) {
    const t = time[i] as number;
    while ((time[before] as number) < t - MARGIN_S) before++;
    while (after < time.length && (time[after] as number) < t + MARGIN_S) after++;
    if (after === time.length || (time[after] as number) > endS) break;
    const rises = (current[after] as number) - (current[before] as number) >= leastA;
    if (rises) beganS ??= t;
    else if (beganS !== null) {
      const endedS = time[i - 1] as number;
      if (endedS - beganS >= MARGIN_S) middles.push((beganS + endedS) / 2);
      beganS = null;
    }
  }
  return middles;
}

/** The rise around an instant; null when the current is not settled on both sides. */
function riseAt(trace: Trace, atS: number): Rise | null {
  const before = windowOf(trace, atS - MARGIN_S - WINDOW_S);
  const after = windowOf(trace, atS + MARGIN_S);
  if (Math.min(before.to - before.from, after.to - after.from) < MIN_SAMPLES) return null;
  const [fromA, toA] = [meanOf(trace, "current", before), meanOf(trace, "current", after)];
  const most = SETTLED_SHARE * (toA - fromA);
  const isSettled = (window: Window) => rangeOf(trace.current, window) <= most;
  return isSettled(before) && isSettled(after) ? { atS, before, after, fromA, toA } : null;
}

function windowOf({ time }: Trace, fromS: number): Window {
  const toS = fromS + WINDOW_S;
  return { from: indexAtOrAfter(time, fromS), to: indexAtOrAfter(time, toS), fromS, toS };
}

const meanOf = (trace: Trace, channel: "voltage" | "current", { fromS, toS }: Window): number =>
  mean(trace.time, trace[channel], fromS, toS);

function rangeOf(values: Float64Array, { from, to }: Window): number {
  const within = values.subarray(from, to);
  return within.reduce((a, b) => Math.max(a, b)) - within.reduce((a, b) => Math.min(a, b));
}

/** What noise, pooled over all windows, and digits leave in the mean over one of them. */
function noiseOfMean(
  values: Float64Array,
  windows: readonly Window[],
  statedHalfWidth: number,
): (window: Window) => number {
  const variances = windows.map(({ from, to }) => square(sampleNoise(values, from, to).deviation));
  const variance = variances.reduce((sum, one) => sum + one, 0) / variances.length;
  const { step } = sampleNoise(values, 0, values.length);
  const digits = Math.min(step, 2 * statedHalfWidth) / Math.sqrt(12);
  return ({ from, to }) => hypot(Math.sqrt(variance / (to - from)), digits);
}
