import { loadedStretch } from "../copies/residual.js";
import type { Trace } from "../model.js";
import { hypot } from "../numerics/hypot.js";
import { median } from "../statistics/median.js";
import { indexAtOrAfter, integrate, mean } from "../trace/series.js";

/** A share of a step of the voltage, with its standard uncertainty; both in %. */
export interface Share {
  readonly percent: number;
  readonly uncertainty: number;
}

/** Means of 0.5 s: before the load ends, soon after it, and at the end of what was recorded, at least so long after. */
const WINDOW_S = 0.5;
const SOON_S = 1;
const MIN_LATE_S = 4;
const MAX_WAIT_S = 30;

/**
 * How far the voltage still rises, from 1 to 1.5 s after the load ended to the last half second recorded (within 30 s), in % of its rise by
 * then. No charge is drawn meanwhile, so that only the pack's relaxation can lift it: a source behind a resistance stands still.
 *
 * @returns null where less than 4 s were recorded after the load, or the load did not end at once
 */
export function recoveryShare(trace: Trace): Share | null {
  const { toS } = loadedStretch(trace);
  const lastS = Math.min(trace.time.at(-1) as number, toS + MAX_WAIT_S);
  if (lastS - toS < MIN_LATE_S) return null;
  const { time, voltage, current } = trace;
  const highest = mean(time, current, toS - 2 * WINDOW_S, toS - WINDOW_S);
  const isOff = current.subarray(indexAtOrAfter(time, toS + SOON_S)).every((one) => Math.abs(one) < 0.05 * highest);
  if (!isOff) return null;
  const at = (fromS: number) => mean(time, voltage, fromS, fromS + WINDOW_S);
  const [loaded, soon, late] = [at(toS - 2 * WINDOW_S), at(toS + SOON_S), at(lastS - WINDOW_S)];
  const rise = soon - loaded;
  if (!(rise > 0)) return null;
  const perMean = Math.max(1, indexAtOrAfter(time, lastS) - indexAtOrAfter(time, lastS - WINDOW_S));
  const noise = uncertaintyOf(voltage.subarray(indexAtOrAfter(time, toS + SOON_S)), perMean);
  return { percent: (100 * (late - soon)) / rise, uncertainty: (100 * Math.SQRT2 * noise) / rise };
}

/**
 * Standard uncertainty of a mean of samples: their noise from second differences, which have sqrt(6) times as much, and the smallest
 * step that they take, which need not average out.
 */
function uncertaintyOf(values: Float64Array, samples: number): number {
  const second = values.subarray(2).map((one, i) => one - 2 * (values[i + 1] as number) + (values[i] as number));
  const noise = (1.4826 * median(second.map(Math.abs))) / Math.sqrt(6);
  const steps = values.subarray(1).map((one, i) => Math.abs(one - (values[i] as number)));
  const digit = steps.reduce((least, step) => (step > 0 ? Math.min(least, step) : least), Number.POSITIVE_INFINITY);
  return hypot(noise / Math.sqrt(samples), Number.isFinite(digit) ? digit / Math.sqrt(12) : 0);
}

/** Instants after the load began between which the voltage falls fast, and later ones for the fall by the charge drawn, s. */
const EARLY_S = [1, 5] as const;
const LATER_S = [12, 24] as const;

/**
 * How much further the voltage falls from 1 to 5 s after the load began than at its pace from 12 to 24 s, both for the same charge, in %
 * of its fall within the first second. A source behind a resistance whose voltage falls evenly with the charge drawn has none of it; a
 * pack relaxes.
 *
 * @returns null where no rest was logged, or the load was not on for 24 s
 */
export function sagShare(trace: Trace): Share | null {
  const { fromS, toS } = loadedStretch(trace);
  const { time, voltage, current } = trace;
  if (toS - fromS < LATER_S[1] + WINDOW_S || fromS - (time[0] as number) < 2 * WINDOW_S) return null;
  const half = WINDOW_S / 2;
  const read = (values: Float64Array, atS: number) => mean(time, values, fromS + atS - half, fromS + atS + half);
  const rest = mean(time, voltage, fromS - 2 * WINDOW_S, fromS - WINDOW_S);
  const [volts, amperes] = [(atS: number) => read(voltage, atS), (atS: number) => read(current, atS)];
  const drop = rest - volts(1);
  if (!(drop > 0)) return null;
  const ohm = drop / amperes(1);
  /** Fall of the voltage behind the resistance, and the charge drawn meanwhile. */
  const fall = ([from, to]: readonly [number, number]) => volts(from) - volts(to) - ohm * (amperes(to) - amperes(from));
  const charge = ([from, to]: readonly [number, number]) => integrate(time, current, fromS + from, fromS + to);
  const share = charge(EARLY_S) / charge(LATER_S);
  const extra = fall(EARLY_S) - share * fall(LATER_S);
  const perMean = Math.max(1, indexAtOrAfter(time, fromS + WINDOW_S) - indexAtOrAfter(time, fromS));
  const loaded = voltage.subarray(indexAtOrAfter(time, fromS + 1), indexAtOrAfter(time, toS));
  const noise = uncertaintyOf(loaded, perMean) * Math.sqrt(2 + 2 * share * share);
  return { percent: (100 * extra) / drop, uncertainty: (100 * noise) / drop };
}
