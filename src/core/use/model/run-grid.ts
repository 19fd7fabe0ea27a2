import type { Trace } from "../../model.js";
import { median } from "../../statistics/median.js";
import { indexAtOrAfter, valueAt } from "../../trace/series.js";

/**
 * A run as means over stretches of time that follow each other, per cell: what a pack's model is fitted to. Voltage and current are
 * averaged alike, so that noise falls and neither leads the other. All arrays have one number for each stretch.
 */
export interface RunGrid {
  /** Length of each stretch, s. */
  readonly seconds: Float64Array;
  /** V of a cell. */
  readonly voltage: Float64Array;
  readonly current: Float64Array;
  /** Of the probe, degC; null without one. */
  readonly temperature: Float64Array | null;
  /** Start of the first stretch, s from onset; not positive. */
  readonly startS: number;
  /** The first stretch after the load has ended; the number of stretches when none is. */
  readonly loaded: number;
  /** The first stretch with the load fully on. */
  readonly full: number;
  /** V of a resting cell before the load; null when no rest was logged. */
  readonly restVolts: number | null;
  /** Charge of the load phase, Ah. */
  readonly chargeAh: number;
  /** Time-weighted over the load phase, A. */
  readonly meanA: number;
  /** Largest mean over one stretch, A. */
  readonly peakA: number;
}

/** Rest before the load that is looked at, s. */
const BEFORE_S = 3;
/** Recovery after it, s. */
const AFTER_S = 60;
/** Stretches near a change of load, and for how long these are kept, s. */
const FINE_S = 0.1;
const FINE_FOR_S = 20;
const FINE_AFTER_S = 5;
const MIN_COARSE_S = 0.2;
/** A long run is cut into about so many stretches. */
const COARSE_STRETCHES = 1500;
/** Below this share of the mean current a pack rests. */
const RESTING_SHARE = 0.03;
/** The load is fully on when this long has passed since onset, s: no protocol lets it rise for longer. */
const RISEN_S = 0.3;
const REST_WINDOW_S = 1;

/**
 * Cuts a trace into stretches; null when it holds no load of two samples.
 *
 * @param loadEndS instant of the last sample under load, s from onset
 * @param series cells in series
 */
export function runGrid(trace: Trace, loadEndS: number, series: number): RunGrid | null {
  const { time } = trace;
  const size = time.length;
  if (size < 3 || !(loadEndS > 0)) return null;
  const [first, last] = [time[0] as number, time[size - 1] as number];
  const interval = median(Array.from(time.subarray(1), (t, k) => t - (time[k] as number)));
  const edges = edgesOf(Math.max(first, -BEFORE_S), loadEndS, Math.min(last, loadEndS + AFTER_S), interval);
  const count = edges.length - 1;
  if (count < 4) return null;
  const means = (values: Float64Array, scale: number) => meansBetween(time, values, edges).map((mean) => mean * scale);
  const seconds = Float64Array.from({ length: count }, (_, i) => (edges[i + 1] as number) - (edges[i] as number));
  const voltage = means(trace.voltage, 1 / series);
  const current = means(trace.current, 1);
  const temperature = trace.temperature && means(trace.temperature, 1);
  const loaded = edges.findIndex((edge) => edge >= loadEndS - 1e-9);
  let [charge, under, peakA] = [0, 0, 0];
  for (let i = 0; i < loaded; i++) {
    if ((edges[i] as number) < 0) continue;
    charge += (seconds[i] as number) * (current[i] as number);
    under += seconds[i] as number;
    peakA = Math.max(peakA, current[i] as number);
  }
  if (!(charge > 0)) return null;
  const meanA = charge / under;
  return {
    seconds,
    voltage,
    current,
    temperature,
    startS: edges[0] as number,
    loaded,
    full: Math.max(
      0,
      edges.findIndex((edge) => edge >= Math.max(RISEN_S, interval)),
    ),
    restVolts: restVoltsOf(trace, meanA, series),
    chargeAh: charge / 3600,
    meanA,
    peakA,
  };
}

/** Instants at which stretches begin, with the end of the last. Onset and the end of the load are among them. */
function edgesOf(from: number, loadEnd: number, to: number, interval: number): number[] {
  const coarse = Math.max(MIN_COARSE_S, loadEnd / COARSE_STRETCHES, interval);
  const fine = Math.max(FINE_S, interval);
  const edges: number[] = [];
  const cut = (start: number, end: number, width: number) => {
    const parts = Math.max(1, Math.round((end - start) / width));
    for (let i = 0; i < parts; i++) edges.push(start + ((end - start) * i) / parts);
  };
  if (from < -fine / 2) cut(from, 0, fine);
  const risen = Math.min(FINE_FOR_S, loadEnd);
  cut(0, risen, fine);
  if (loadEnd > risen + 1e-9) cut(risen, loadEnd, coarse);
  if (to > loadEnd + fine / 2) {
    const soon = Math.min(to, loadEnd + FINE_AFTER_S);
    cut(loadEnd, soon, fine);
    if (to > soon + coarse) cut(soon, to, coarse);
    edges.push(to > soon + coarse ? to : soon);
  } else edges.push(loadEnd);
  return edges;
}

/** Time-weighted means of a channel that is linear between its samples. */
function meansBetween(time: Float64Array, values: Float64Array, edges: readonly number[]): Float64Array {
  const sums = new Float64Array(time.length);
  for (let k = 1; k < time.length; k++) {
    const width = (time[k] as number) - (time[k - 1] as number);
    sums[k] = (sums[k - 1] as number) + (width * ((values[k] as number) + (values[k - 1] as number))) / 2;
  }
  const sumTo = (instant: number) => {
    const after = indexAtOrAfter(time, instant);
    if (after === 0) return 0;
    const width = Math.min(instant, time[time.length - 1] as number) - (time[after - 1] as number);
    return (sums[after - 1] as number) + (width * ((values[after - 1] as number) + valueAt(time, values, instant))) / 2;
  };
  const at = edges.map(sumTo);
  return Float64Array.from({ length: edges.length - 1 }, (_, i) => {
    const width = (edges[i + 1] as number) - (edges[i] as number);
    return ((at[i + 1] as number) - (at[i] as number)) / width;
  });
}

/** Median of the last second before the current rises. */
function restVoltsOf({ time, voltage, current }: Trace, meanA: number, series: number): number | null {
  let rise = indexAtOrAfter(time, 0);
  while (rise > 0 && Math.abs(current[rise - 1] as number) > RESTING_SHARE * meanA) rise--;
  if (rise === 0) return null;
  const from = indexAtOrAfter(time, (time[rise - 1] as number) - REST_WINDOW_S);
  return median(Array.from(voltage.subarray(from, rise))) / series;
}
