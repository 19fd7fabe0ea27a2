import { median } from "../statistics/median.js";
import { extremesOfMedians } from "./median-of-three.js";
import { indexAtOrAfter } from "./series.js";

/** Share of the log's largest current above which the load is taken to have begun. */
const LOAD_BEGUN_SHARE = 0.05;
const LOAD_BEGUN_SECONDS = 0.5;
const LOAD_CURRENT_SECONDS = 5;
const REST_VOLTAGE_SECONDS = 1;
const SLOW_REST_SECONDS = 60;

/** When and how the load came on. Times are those of the samples given. */
export interface Onset {
  /** I_hi: median current over the first 5 s of load, A. */
  readonly loadCurrentA: number;
  /** Where the current first crosses I_hi/2. */
  readonly instant: number;
  /** Where the current leaves 10 % of I_hi on its way up; null when the log begins above it. */
  readonly riseFrom: number | null;
  readonly riseSeconds: number | null;
  /** How many samples precede the rise. */
  readonly restSamples: number;
}

/** Definitions 7 to 9. Returns null when no current was ever drawn for long enough. */
export function findOnset(time: Float64Array, current: Float64Array): Onset | null {
  const begun = loadBegun(time, current);
  if (begun === null) return null;
  const until = indexAtOrAfter(time, (time[begun] as number) + LOAD_CURRENT_SECONDS);
  const loadCurrentA = median(current.subarray(begun, until));
  if (!(loadCurrentA > 0)) return null;
  const onsetIndex = firstAbove(current, loadCurrentA / 2, begun);
  const fullIndex = firstAbove(current, 0.9 * loadCurrentA, begun);
  let restSamples = fullIndex;
  while (restSamples > 0 && (current[restSamples - 1] as number) >= 0.1 * loadCurrentA) restSamples--;
  const instant = onsetIndex === 0 ? (time[0] as number) : crossing(time, current, onsetIndex, loadCurrentA / 2);
  if (restSamples === 0) return { loadCurrentA, instant, riseFrom: null, riseSeconds: null, restSamples };
  const riseFrom = crossing(time, current, restSamples, 0.1 * loadCurrentA);
  const riseTo = crossing(time, current, fullIndex, 0.9 * loadCurrentA);
  return { loadCurrentA, instant, riseFrom, riseSeconds: riseTo - riseFrom, restSamples };
}

/**
 * Index of the sample at which the load begins: the first of a stretch of at least 0.5 s above 5 % of the log's largest
 * current, so that a short blip before the run is not taken for it. Null when there is none.
 */
function loadBegun(time: Float64Array, current: Float64Array): number | null {
  const level = LOAD_BEGUN_SHARE * extremesOfMedians(current).most;
  if (!(level > 0)) return null;
  let begun: number | null = null;
  for (let i = 0; i < current.length; i++) {
    if (!((current[i] as number) > level)) begun = null;
    else {
      begun ??= i;
      const next = time[i + 1];
      if (next === undefined || next - (time[begun] as number) >= LOAD_BEGUN_SECONDS) return begun;
    }
  }
  return null;
}

/**
 * First and last sample index (exclusive) of the last second before the rise; of a log that is too slow for that, its last two
 * samples in the minute before the rise. Null when there are none (definition 11).
 */
export function restWindow(time: Float64Array, onset: Onset): { from: number; to: number } | null {
  if (onset.riseFrom === null) return null;
  const to = onset.restSamples;
  const from = indexAtOrAfter(time, onset.riseFrom - REST_VOLTAGE_SECONDS);
  if (to - from >= 2) return { from, to };
  const isRecent = to >= 2 && (time[to - 2] as number) >= onset.riseFrom - SLOW_REST_SECONDS;
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
