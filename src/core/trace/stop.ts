import type { StopReason, Trace } from "../model.js";
import { indexAtOrAfter, valueAt } from "./series.js";

const UNLOADED_SHARE = 0.1;
const FULL_SHARE = 0.7;
const HOLD_SECONDS = 0.5;
const NEAR_CUTOFF_VOLTS_PER_CELL = 0.02;

export interface StopLimits {
  /** V_c; null when the run does not go on to a cutoff. */
  readonly cutoffVolts: number | null;
  readonly series: number;
  readonly temperatureLimitC: number;
}

/** How a run ended. Times are s from onset. */
export interface Stop {
  readonly reason: StopReason;
  /** t_c; null when the cutoff was not reached. */
  readonly cutoffS: number | null;
  readonly loadEndS: number;
  /** Where reading ends: t_c, else the end of the load phase. */
  readonly endS: number;
}

/** Index of the last sample of the load phase (definition 12). `loadCurrentA` is I_hi. */
export function lastLoadedIndex(time: Float64Array, current: Float64Array, loadCurrentA: number): number {
  const unloaded = UNLOADED_SHARE * loadCurrentA;
  let lastLoaded = Math.min(indexAtOrAfter(time, 0), time.length - 1);
  for (let i = lastLoaded; i < time.length; i++) {
    if ((current[i] as number) >= unloaded) lastLoaded = i;
    else if ((time[i] as number) - (time[Math.min(lastLoaded + 1, i)] as number) >= HOLD_SECONDS) break;
  }
  return lastLoaded;
}

/** Definitions 12 and 14 to 18. */
export function findStop(trace: Trace, loadCurrentA: number, limits: StopLimits): Stop {
  const { time, voltage, current } = trace;
  const last = lastLoadedIndex(time, current, loadCurrentA);
  const loadEndS = time[last] as number;
  const { cutoffVolts } = limits;
  const crossingS = cutoffVolts === null ? null : heldCrossing(time, voltage, cutoffVolts, loadEndS);
  const cutoffS = crossingS ?? removedNearCutoff(trace, last, loadCurrentA, limits);
  const reason = cutoffS !== null ? "cutoff" : earlyReason(trace, last, loadCurrentA, limits);
  return { reason, cutoffS, loadEndS, endS: cutoffS ?? loadEndS };
}

/** Instant at which the load was removed just above the cutoff; null when it was not. */
function removedNearCutoff(
  { time, voltage, current }: Trace,
  last: number,
  loadCurrentA: number,
  { cutoffVolts, series }: StopLimits,
): number | null {
  if (cutoffVolts === null || last === time.length - 1) return null;
  // On its way down the current passes through samples whose voltage has begun to recover.
  const full = current.subarray(0, last + 1).findLastIndex((value) => value >= FULL_SHARE * loadCurrentA);
  const near = (voltage[full] as number) - cutoffVolts <= NEAR_CUTOFF_VOLTS_PER_CELL * series;
  return near ? (time[full] as number) : null;
}

/** Start of the first stretch at or below `level` that lasts 0.5 s or to the end of the load; null when there is none. */
function heldCrossing(time: Float64Array, voltage: Float64Array, level: number, loadEndS: number): number | null {
  let since: number | null = valueAt(time, voltage, 0) <= level ? 0 : null;
  let t0 = 0;
  let v0 = valueAt(time, voltage, 0);
  for (let i = indexAtOrAfter(time, 0); i < time.length && (time[i] as number) <= loadEndS; i++) {
    const t1 = time[i] as number;
    const v1 = voltage[i] as number;
    const meets = v1 === v0 ? t1 : t0 + ((t1 - t0) * (level - v0)) / (v1 - v0);
    if (since === null && v1 <= level) since = meets;
    else if (since !== null && v1 > level) {
      if (meets - since >= HOLD_SECONDS) return since;
      since = null;
    }
    t0 = t1;
    v0 = v1;
  }
  return since;
}

function earlyReason(trace: Trace, last: number, loadCurrentA: number, limits: StopLimits): StopReason {
  const { time, current, temperature } = trace;
  const onset = indexAtOrAfter(time, 0);
  if (temperature?.subarray(onset, last + 1).some((value) => value >= limits.temperatureLimitC))
    return "temperature-limit";
  if (last === time.length - 1) return "log-end";
  return current.subarray(last + 1).some((value) => value >= loadCurrentA / 2) ? "load-lost" : "operator";
}
