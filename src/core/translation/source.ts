import type { Trace } from "../model.js";
import { fitLine } from "../statistics/line.js";
import { indexAtOrAfter, mean, valueAt } from "../trace/series.js";

const MARK_S = 10;
const HALF_WINDOW_S = 0.5;
/** The fall of the open-circuit voltage is taken from 10 s to at most here, and to at most half of the run. */
const SLOPE_UNTIL_S = 40;
const SLOPE_SHORTEST_S = 2;

/**
 * The pack as a source behind a resistance (Thevenin's theorem), along one run: U(q) = V + I R_i at the samples of
 * the load phase, where q is the charge drawn since onset.
 */
export interface SourceModel {
  /** q, As; rising. */
  readonly charge: Float64Array;
  /** U, V. */
  readonly sourceVolts: Float64Array;
  /** R_i, ohm. */
  readonly resistanceOhm: number;
  /** Standard uncertainty of R_i, ohm. */
  readonly resistanceUncertaintyOhm: number;
  /** I at 10 s, A. */
  readonly current10sA: number;
  /** Source voltage at 10 s, V. */
  readonly source10sV: number;
}

/**
 * The source model of a run, or null when no rest was logged, the run ended before the mark at 10 s, or the voltages
 * are those of no source.
 *
 * R_i is the fall of the voltage from rest to 10 s without the fall of the open-circuit voltage, over the current then.
 * That fall is the charge drawn until then times the slope of the source voltage over charge later on, where relaxation
 * has faded: with dV/dq = v and dI/dq = i over 10 s to 40 s,
 * R_i (I10 - i q10) = V0 - V10 + v q10. How far this moves R_i says how well it is known: half of the move is taken as u(R_i).
 *
 * @param resistanceShift how many u(R_i) to add to R_i; 0 for the best estimate
 */
export function sourceOf(
  trace: Trace,
  restVolts: number | null,
  loadEndS: number,
  resistanceShift: number,
): SourceModel | null {
  if (restVolts === null || loadEndS < MARK_S + HALF_WINDOW_S) return null;
  const loaded = loadedPart(trace, loadEndS);
  const at10 = (values: Float64Array) => mean(trace.time, values, MARK_S - HALF_WINDOW_S, MARK_S + HALF_WINDOW_S);
  const volts10 = at10(trace.voltage);
  const amps10 = at10(trace.current);
  const known = resistance(loaded, restVolts, volts10, amps10, loadEndS);
  if (known === null) return null;
  const resistanceOhm = known.ohm + resistanceShift * known.uncertaintyOhm;
  const sourceVolts = loaded.voltage.map((volts, i) => volts + (loaded.current[i] as number) * resistanceOhm);
  if (!sourceVolts.every((volts) => volts > 0)) return null;
  return {
    charge: loaded.charge,
    sourceVolts,
    resistanceOhm,
    resistanceUncertaintyOhm: known.uncertaintyOhm,
    current10sA: amps10,
    source10sV: volts10 + amps10 * resistanceOhm,
  };
}

interface LoadedPart {
  readonly time: Float64Array;
  readonly voltage: Float64Array;
  readonly current: Float64Array;
  readonly charge: Float64Array;
}

/** The samples from onset (interpolated) to the end of the load phase, with the charge drawn. */
function loadedPart(trace: Trace, loadEndS: number): LoadedPart {
  const first = indexAtOrAfter(trace.time, 0);
  const last = indexAtOrAfter(trace.time, loadEndS);
  const atOnset = trace.time[first] === 0 ? [] : [0];
  const cut = (values: Float64Array) =>
    Float64Array.from([...atOnset.map(() => valueAt(trace.time, values, 0)), ...values.subarray(first, last + 1)]);
  const time = cut(trace.time);
  if (atOnset.length > 0) time[0] = 0;
  const current = cut(trace.current);
  const charge = new Float64Array(time.length);
  for (let i = 1; i < time.length; i++) {
    const step = (time[i] as number) - (time[i - 1] as number);
    charge[i] = (charge[i - 1] as number) + (step * ((current[i] as number) + (current[i - 1] as number))) / 2;
  }
  return { time, voltage: cut(trace.voltage), current, charge };
}

function resistance(loaded: LoadedPart, restVolts: number, volts10: number, amps10: number, loadEndS: number) {
  const raw = (restVolts - volts10) / amps10;
  const until = Math.min(SLOPE_UNTIL_S, loadEndS / 2);
  const from = indexAtOrAfter(loaded.time, MARK_S);
  const to = indexAtOrAfter(loaded.time, until);
  const voltsLine = fitLine(loaded.charge, loaded.voltage, from, to);
  const ampsLine = fitLine(loaded.charge, loaded.current, from, to);
  if (!voltsLine || !ampsLine || until - MARK_S < SLOPE_SHORTEST_S) {
    return raw > 0 ? { ohm: raw, uncertaintyOhm: raw / 2 } : null;
  }
  const charge10 = valueAt(loaded.time, loaded.charge, MARK_S);
  const ohm = (restVolts - volts10 + voltsLine.slope * charge10) / (amps10 - ampsLine.slope * charge10);
  return ohm > 0 ? { ohm, uncertaintyOhm: Math.abs(raw - ohm) / 2 } : null;
}
