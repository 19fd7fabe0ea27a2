import type { MeasuredRun } from "../trace/normalised-run.js";
import { indexAtOrAfter, valueAt } from "../trace/series.js";
import type { Noise } from "./noise.js";

/** How far a smoothed current lags behind its load, by which the voltage fell at once. */
export interface CurrentLag {
  /** Times are s from onset, as the current shows it. */
  readonly lagS: number;
  /** Where the current has settled, and what it is there, A. */
  readonly settledS: number;
  readonly settledA: number;
}

/** Shares of the load's rise at which the onset lies, and up to which the fall of the voltage is counted. */
const MIDDLE_SHARE = 0.5;
const FULL_SHARE = 0.9;
/** A fall smaller than this many times the voltage's noise and digits tells no instant. */
const MIN_FALL = 20;
/** A moving mean has settled one lag after its middle, a first-order lag to 1.5 % after six (ln 2 of its time constant being one). */
const SETTLED_LAGS = 6;

/**
 * Whether the current came on later than the voltage shows. A pack's voltage falls with the current, at once: where it is half down before the current is half
 * up, the logger smooths or delays the current. Both are compared up to where the current reaches 90 % of the load, so that the pack's
 * slower fall counts for nothing. Channels of one sample may be up to one interval apart in time: less is no lag.
 *
 * @returns null where nothing shows a lag
 */
export function currentLag({ trace, rest, riseS, loadCurrentA, stop }: MeasuredRun, noise: Noise): CurrentLag | null {
  const { time, voltage, current } = trace;
  if (!rest || riseS === null) return null;
  const onset = Math.max(1, indexAtOrAfter(time, 0));
  let full = onset;
  while (full < time.length - 1 && (current[full] as number) < FULL_SHARE * loadCurrentA) full++;
  const fall = rest.volts - (voltage[full] as number);
  const { deviation, step } = noise.voltage;
  if (!(fall > MIN_FALL * Math.max(deviation, Number.isFinite(step) ? step : 0, noise.voltage.resolution))) return null;
  const halfVolts = rest.volts - (MIDDLE_SHARE / FULL_SHARE) * fall;
  let half = onset;
  while (half > 0 && (voltage[half - 1] as number) <= halfVolts) half--;
  if (half === 0 || half === onset) return null;
  const [before, after] = [voltage[half - 1] as number, voltage[half] as number];
  const [from, to] = [time[half - 1] as number, time[half] as number];
  const lagS = -(from + ((before - halfVolts) / (before - after)) * (to - from));
  const interval = (time[onset] as number) - (time[onset - 1] as number);
  if (!(lagS > interval)) return null;
  const settledS = Math.min(SETTLED_LAGS * lagS, stop.endS);
  return { lagS, settledS, settledA: valueAt(time, current, settledS) };
}

/** What a current that lags is short of its load by, at each sample, A. */
export function missedCurrent({ time, current }: MeasuredRun["trace"], lag: CurrentLag): Float64Array {
  const missed = new Float64Array(time.length);
  for (let i = indexAtOrAfter(time, -lag.lagS); i < time.length && (time[i] as number) < lag.settledS; i++) {
    missed[i] = lag.settledA - (current[i] as number);
  }
  return missed;
}
