import type { Trace } from "../model.js";
import { times } from "../numerics/each-value.js";
import { indexAtOrAfter, valueAt } from "../trace/series.js";
import { LAGS_S, lagStep } from "./lags.js";

/** Where a run's samples are looked at: from onset to the end of its load, and some seconds of rest after it. */
export interface RunSpan {
  /** Instant of the last sample under load, s from onset. */
  readonly loadEndS: number;
  /** I_hi, A. */
  readonly loadCurrentA: number;
  /** Cells in series. */
  readonly series: number;
}

/** The samples of a run from onset on (interpolated there), per cell. All arrays have the same length. */
export interface LoadedRun {
  readonly time: Float64Array;
  /** V per cell. */
  readonly voltage: Float64Array;
  readonly current: Float64Array;
  /** q, drawn since onset, As. */
  readonly charge: Float64Array;
  /** h, the integral of I over the charge drawn, A^2 s: what warms the pack. */
  readonly heat: Float64Array;
  /** The current through each lag, A. */
  readonly lagged: readonly Float64Array[];
  /** How many samples are of the load phase; the others follow its end. */
  readonly loaded: number;
  /** Index of the first sample at which the load is fully on. */
  readonly full: number;
  /** Its index 0 is this sample of the trace; where onset lies between two samples it is the one before, in whose place onset stands. */
  readonly begins: number;
}

/** The same phases of a run again, where its trace was moved a little: indices of the trace. */
export interface RunPhases {
  readonly full: number;
  /** One past the last sample of the load phase. */
  readonly loadEnd: number;
}

/** The current before onset is followed from here on, s. */
const BEFORE_S = -5;
/** Rest after the load is looked at for this long, s. */
const AFTER_S = 7;
const RISEN_SHARE = 0.9;

/**
 * Cuts a run out of its trace; null when it has fewer than two samples under load.
 *
 * @param phases where they are known; found by the span when left out
 */
export function loadedRun(
  trace: Trace,
  { loadEndS, loadCurrentA, series }: RunSpan,
  phases?: RunPhases,
): LoadedRun | null {
  const onset = indexAtOrAfter(trace.time, 0);
  const end = indexAtOrAfter(trace.time, loadEndS + AFTER_S);
  const begins = trace.time[onset] === 0 ? onset : onset - 1;
  const time = cut(trace, trace.time, onset, end, 1);
  time[0] = 0;
  const current = cut(trace, trace.current, onset, end, 1);
  const last = indexAtOrAfter(time, loadEndS);
  // A trace of means may end before its load does.
  const ended = (time[last] ?? Number.POSITIVE_INFINITY) > loadEndS ? last : last + 1;
  const loaded = Math.min(time.length, phases ? phases.loadEnd - begins : ended);
  if (loaded < 2) return null;
  const charge = new Float64Array(time.length);
  const heat = new Float64Array(time.length);
  for (let i = 1; i < time.length; i++) {
    const amps = ((current[i] as number) + (current[i - 1] as number)) / 2;
    const drawn = ((time[i] as number) - (time[i - 1] as number)) * amps;
    charge[i] = (charge[i - 1] as number) + drawn;
    heat[i] = (heat[i - 1] as number) + drawn * amps;
  }
  const lagged = lagsOver(time, current, lagsAtOnset(trace, onset, current[0] as number));
  const voltage = cut(trace, trace.voltage, onset, end, 1 / series);
  const full = phases ? Math.max(0, phases.full - begins) : fullyOn(current, loadCurrentA, loaded);
  return { time, voltage, current, charge, heat, lagged, loaded, full, begins };
}

/**
 * Cuts the same run out of its trace where that was moved a little: its phases stay. Where time and current were not moved, all that follows
 * from them is that of the run before.
 */
export function movedRun(
  trace: Trace,
  span: RunSpan,
  before: { readonly trace: Trace; readonly run: LoadedRun },
): LoadedRun | null {
  const { run } = before;
  const onset = indexAtOrAfter(trace.time, 0);
  const end = indexAtOrAfter(trace.time, span.loadEndS + AFTER_S);
  const isMoved = trace.time !== before.trace.time || trace.current !== before.trace.current;
  if (isMoved || end - run.begins !== run.time.length) {
    return loadedRun(trace, span, { full: run.full + run.begins, loadEnd: run.loaded + run.begins });
  }
  return { ...run, voltage: cut(trace, trace.voltage, onset, end, 1 / span.series) };
}

/** The samples of a channel from onset on, interpolated there, times a factor. */
function cut({ time }: Trace, values: Float64Array, onset: number, end: number, factor: number): Float64Array {
  const interpolated = time[onset] === 0 ? 0 : 1;
  const part = new Float64Array(end - onset + interpolated);
  part[0] = valueAt(time, values, 0);
  part.set(values.subarray(onset, end), interpolated);
  return factor === 1 ? part : times(part, factor);
}

/**
 * The first sample after the one that has 90 % of the load: the load may still have been rising during that one's interval. The first of all
 * where the load is on from onset.
 */
function fullyOn(current: Float64Array, loadCurrentA: number, loaded: number): number {
  let i = 0;
  while (i < loaded - 1 && (current[i] as number) < RISEN_SHARE * loadCurrentA) i++;
  return i === 0 ? 0 : Math.min(i + 1, loaded - 1);
}

/** What each lag has become at onset, the current having risen before it. */
function lagsAtOnset({ time, current }: Trace, onset: number, onsetA: number): Float64Array {
  const lagged = new Float64Array(LAGS_S.length);
  const step = new Float64Array(3);
  const from = indexAtOrAfter(time, BEFORE_S);
  for (let i = from + 1; i <= onset; i++) {
    const before = time[i - 1] as number;
    const now = i === onset ? 0 : (time[i] as number);
    const amps = i === onset ? onsetA : (current[i] as number);
    LAGS_S.forEach((tau, j) => {
      lagStep(now - before, tau, step);
      lagged[j] = stepped(step, lagged[j] as number, current[i - 1] as number, amps);
    });
  }
  return lagged;
}

function lagsOver(time: Float64Array, current: Float64Array, start: Float64Array): Float64Array[] {
  return LAGS_S.map((tau, j) => lagOver(time, current, tau, start[j] as number));
}

function lagOver(time: Float64Array, current: Float64Array, tau: number, start: number): Float64Array {
  const step = new Float64Array(3);
  const lagged = new Float64Array(time.length);
  lagged[0] = start;
  for (let i = 1; i < time.length; i++) {
    lagStep((time[i] as number) - (time[i - 1] as number), tau, step);
    lagged[i] = stepped(step, lagged[i - 1] as number, current[i - 1] as number, current[i] as number);
  }
  return lagged;
}

const stepped = (step: Float64Array, lagged: number, before: number, after: number): number =>
  (step[0] as number) * lagged + (step[1] as number) * before + (step[2] as number) * after;
