import type { Trace } from "../model.js";
import { indexAtOrAfter } from "../trace/series.js";
import type { CellSource, RunModel } from "./cell-source.js";
import { carriedOn } from "./extension.js";
import { LAGS_S, lagStep } from "./lags.js";
import { standardOhmPerCell } from "./standard-loads.js";

/** A step's current is settled when a round changes it by no more than this share. */
const SETTLED = 1e-11;
const MAX_ROUNDS = 8;

/**
 * The run as it would have gone under a resistance that comes on at once: I* = V* / R_s, V* = U(q) - f sum(r_j x*_j),
 * dt* = dq / I*, the lags x*_j and the heat h* being those of I*.
 *
 * @returns time, volts of a cell and current, one for each charge of the source; null where the source gives no current
 */
export function underLoad(source: CellSource, loadOhm: number): Omit<Trace, "temperature"> | null {
  const { charge, sourceVolts, factor, resistances, warming } = source;
  const size = charge.length;
  const time = new Float64Array(size);
  const voltage = new Float64Array(size);
  const current = new Float64Array(size);
  const lagged = new Float64Array(LAGS_S.length);
  const steps = LAGS_S.map(() => new Float64Array(3));
  const seriesOhm = resistances[0] as number;
  let heat = 0;
  current[0] = (sourceVolts[0] as number) / (loadOhm + (factor[0] as number) * seriesOhm);
  voltage[0] = (current[0] as number) * loadOhm;
  if (!((current[0] as number) > 0)) return null;
  for (let i = 1; i < size; i++) {
    const before = current[i - 1] as number;
    const drawn = Math.max(0, (charge[i] as number) - (charge[i - 1] as number));
    let amps = i > 1 ? Math.max(before / 2, 2 * before - (current[i - 2] as number)) : before;
    let seconds = 0;
    // The step's length depends on the current at its end and that on the length, but weakly.
    for (let round = 0; round < MAX_ROUNDS; round++) {
      const mean = (before + amps) / 2;
      seconds = drawn / mean;
      let kept = 0;
      let ohm = seriesOhm;
      for (let j = 0; j < LAGS_S.length; j++) {
        const step = steps[j] as Float64Array;
        lagStep(seconds, LAGS_S[j] as number, step);
        const resistance = resistances[j + 1] as number;
        kept += resistance * ((step[0] as number) * (lagged[j] as number) + (step[1] as number) * before);
        ohm += resistance * (step[2] as number);
      }
      const f = (factor[i] as number) * Math.exp(-warming * (heat + drawn * mean));
      const next = ((sourceVolts[i] as number) - f * kept) / (loadOhm + f * ohm);
      const settled = Math.abs(next - amps) <= SETTLED * next;
      amps = next;
      if (!(next > 0)) return null;
      if (settled) break;
    }
    for (let j = 0; j < LAGS_S.length; j++) {
      const step = steps[j] as Float64Array;
      lagged[j] =
        (step[0] as number) * (lagged[j] as number) + (step[1] as number) * before + (step[2] as number) * amps;
    }
    heat += (drawn * (before + amps)) / 2;
    time[i] = (time[i - 1] as number) + seconds;
    current[i] = amps;
    voltage[i] = amps * loadOhm;
  }
  return { time, voltage, current };
}

export interface TranslationTarget {
  /** Standard load, A. */
  readonly loadA: number;
  readonly series: number;
  /** Of the pack, V. */
  readonly cutoffVolts: number;
  /** Factor on the charge by which the source is carried on past the end of the log. */
  readonly extension: number;
}

/** A run under a standard load, as a trace of the whole pack from onset on; null where its source gives no current there. */
export function translate(
  source: CellSource,
  { reachedCutoff }: Pick<RunModel, "reachedCutoff">,
  { loadA, series, cutoffVolts, extension }: TranslationTarget,
): Trace | null {
  const loadOhm = standardOhmPerCell(loadA);
  const cutoff = cutoffVolts / series;
  let moved = underLoad(source, loadOhm);
  if (!moved) return null;
  const lastVolts = moved.voltage[moved.voltage.length - 1] as number;
  if (reachedCutoff && lastVolts > cutoff) {
    const further = carriedOn(source, lastVolts - cutoff, extension);
    moved = (further && underLoad(further, loadOhm)) ?? moved;
  }
  return { ...moved, voltage: moved.voltage.map((volts) => volts * series), temperature: null };
}

/** Current of a standard load over the run's own, at 10 s: how far a translation carries. */
export function carriedBy(source: CellSource, model: RunModel, loadA: number): number {
  const { run, current10sA, volts10s } = model;
  const i = Math.min(indexAtOrAfter(run.time, 10), run.loaded - 1);
  const ownOhm = ((source.sourceVolts[i] as number) - (run.voltage[i] as number)) / (run.current[i] as number);
  return (volts10s + current10sA * ownOhm) / (standardOhmPerCell(loadA) + ownOhm) / current10sA;
}
