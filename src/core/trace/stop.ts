import type { StopReason, Trace } from "../model.js";
import { indexAtOrAfter, valueAt } from "./series.js";

/** A current below this share of the load is none. */
export const UNLOADED_SHARE = 0.1;
const FULL_SHARE = 0.7;
const HOLD_SECONDS = 0.5;
const NEAR_CUTOFF_VOLTS_PER_CELL = 0.02;
/** A voltage that rises by more than this share of its recovery has begun to recover. */
const RECOVERED_SHARE = 0.25;
/**
 * A current that a logger smooths still falls for some time after the load went: it is on its way down where it is below this share of what it was
 * where the voltage stood lowest, for so long at most, s.
 */
const FALLING_SHARE = 0.9;
const MAX_FALL_SECONDS = 2;
/** How fast temperature and voltage moved at the end is told by this long before it, s. */
const TREND_SECONDS = 10;

export interface StopLimits {
  /** V_c; null when the run does not go on to a cutoff. */
  readonly cutoffVolts: number | null;
  readonly series: number;
  readonly temperatureLimitC: number;
  /** Stated accuracy of the probe, K, where the temperature limit is one of the two ways for a run to end; null where it is none. */
  readonly endingProbeK?: number | null;
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

/** Index of the last sample of the load phase that the sample `onset` is in (definition 12). `loadCurrentA` is I_hi. */
export function lastLoadedIndex(
  time: Float64Array,
  current: Float64Array,
  loadCurrentA: number,
  onset = indexAtOrAfter(time, 0),
): number {
  const unloaded = UNLOADED_SHARE * loadCurrentA;
  let lastLoaded = Math.min(onset, time.length - 1);
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
  const sagging = lastSaggingIndex(trace, last);
  const loadEndS = time[last] as number;
  const { cutoffVolts } = limits;
  const crossingS = cutoffVolts === null ? null : heldCrossing(time, voltage, cutoffVolts, time[sagging] as number);
  const cutoffS = crossingS ?? removedNearCutoff(trace, { last, sagging }, loadCurrentA, limits);
  const reason = cutoffS !== null ? "cutoff" : earlyReason(trace, last, loadCurrentA, limits);
  return { reason, cutoffS, loadEndS, endS: cutoffS ?? loadEndS };
}

/**
 * Index of the last sample whose voltage is still that under load. A current that lags the voltage by up to a sample, that is caught on its
 * way down, or that a logger smooths, still shows a load where the voltage has begun to recover.
 */
export function lastSaggingIndex(trace: Pick<Trace, "time" | "voltage" | "current">, last: number): number {
  const recovered = trace.voltage[last + 1];
  if (recovered === undefined) return last;
  return Math.min(beforeLastRises(trace, last, recovered), beforeCurrentFalls(trace, last));
}

/** Leaves out the last samples that each rise by more than their share of what is still to recover. */
function beforeLastRises({ voltage }: Pick<Trace, "voltage">, last: number, recovered: number): number {
  let sagging = last;
  while (sagging > 0) {
    const before = voltage[sagging - 1] as number;
    const risen = (voltage[sagging] as number) - before;
    if (!(recovered > before && risen > RECOVERED_SHARE * (recovered - before))) break;
    sagging--;
  }
  return sagging;
}

/** Leaves out the samples in which the voltage has risen from its lowest while the current falls. */
function beforeCurrentFalls(
  { time, voltage, current }: Pick<Trace, "time" | "voltage" | "current">,
  last: number,
): number {
  const earliestS = (time[last] as number) - MAX_FALL_SECONDS;
  let lowest = last;
  for (let i = last - 1; i >= 0 && (time[i] as number) >= earliestS; i--) {
    if ((voltage[i] as number) < (voltage[lowest] as number)) lowest = i;
  }
  return (current[last] as number) < FALLING_SHARE * (current[lowest] as number) ? lowest : last;
}

/**
 * Instant at which the load was removed just above the cutoff; null when it was not, or when it was the temperature that ended the run. Where both
 * were near, what was reached within one more sample decides, the temperature before the voltage; then what is within the probe's accuracy.
 */
function removedNearCutoff(
  trace: Trace,
  { last, sagging }: { readonly last: number; readonly sagging: number },
  loadCurrentA: number,
  { cutoffVolts, series, temperatureLimitC, endingProbeK }: StopLimits,
): number | null {
  const { time, voltage, current } = trace;
  if (cutoffVolts === null || last === time.length - 1) return null;
  const full = current.subarray(0, sagging + 1).findLastIndex((value) => value >= FULL_SHARE * loadCurrentA);
  const above = (voltage[full] as number) - cutoffVolts;
  // Where the voltage falls fast, the load went between the last sample and the next: by then it had fallen as far again.
  const since = full > 0 ? (time[full] as number) - (time[full - 1] as number) : 1;
  const fall =
    full > 0 ? (((voltage[full - 1] as number) - (voltage[full] as number)) * nextInterval(time, full)) / since : 0;
  if (!(above - Math.max(0, fall) <= NEAR_CUTOFF_VOLTS_PER_CELL * series)) return null;
  if (endingProbeK != null) {
    const below = belowLimit(trace, last, temperatureLimitC);
    if (below <= 0 || (below <= endingProbeK && above > fall)) return null;
  }
  return time[full] as number;
}

/** How far below the limit the temperature stayed at the end of the load, and after one more sample, K; not above 0 where it was reached. */
function belowLimit({ time, temperature }: Trace, last: number, limitC: number): number {
  if (!temperature) return Number.POSITIVE_INFINITY;
  const hottest = Math.max(temperature[last] as number, temperature[last + 1] ?? Number.NEGATIVE_INFINITY);
  return limitC - hottest - Math.max(0, trendOf(time, temperature, last) * nextInterval(time, last));
}

/** Change of a channel per second over the last 10 s under load up to a sample. */
function trendOf(time: Float64Array, values: Float64Array, at: number): number {
  const from = Math.min(Math.max(indexAtOrAfter(time, Math.max(0, (time[at] as number) - TREND_SECONDS)), 0), at - 1);
  return from < 0
    ? 0
    : ((values[at] as number) - (values[from] as number)) / ((time[at] as number) - (time[from] as number));
}

/** Time from a sample to the next one, or from the one before where it is the last, s. */
function nextInterval(time: Float64Array, at: number): number {
  const next = Math.min(at + 1, time.length - 1);
  return (time[next] as number) - (time[next - 1] as number);
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
  const { endingProbeK, temperatureLimitC } = limits;
  if (endingProbeK != null && belowLimit(trace, last, temperatureLimitC) <= endingProbeK) return "temperature-limit";
  if (last === time.length - 1) return "log-end";
  return current.subarray(last + 1).some((value) => value >= loadCurrentA / 2) ? "load-lost" : "operator";
}
