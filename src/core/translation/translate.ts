import type { Trace } from "../model.js";
import { expEach, times } from "../numerics/each-value.js";
import { indexAtOrAfter } from "../trace/series.js";
import type { CellSource, RunModel } from "./cell-source.js";
import { carriedOn } from "./extension.js";
import { LAGS_S, lagSteps } from "./lags.js";
import { type LoadLaw, loadLaw, type TranslationLoad } from "./load-law.js";

/** A step's current is settled when a round changes it by no more than this share. */
const SETTLED = 1e-11;
const MAX_ROUNDS = 8;

/** A run under a load, as far as its source has been followed. Arrays hold one number for each charge of the source. */
interface LoadCourse {
  readonly time: Float64Array;
  /** V of a cell. */
  readonly voltage: Float64Array;
  readonly current: Float64Array;
  /** Lags and heat at its last charge. */
  readonly lagged: Float64Array;
  readonly heat: number;
}

/**
 * The run as it would have gone under a load that comes on at once, for a resistance R_s: I* = V* / R_s, V* = U(q) - f sum(r_j x*_j),
 * dt* = dq / I*, the lags x*_j and the heat h* being those of I*.
 *
 * @param settled a step's current is settled when a round changes it by no more than this share
 * @param begun its course under the same load along the first charges of the source, if that is known
 * @returns null where the source gives no current
 */
function underLoad(source: CellSource, law: LoadLaw, settled: number, begun?: LoadCourse): LoadCourse | null {
  const { charge, sourceVolts, factor, resistances, warming } = source;
  const size = charge.length;
  const time = new Float64Array(size);
  const voltage = new Float64Array(size);
  const current = new Float64Array(size);
  const lags = LAGS_S.length;
  const lagged = begun?.lagged.slice() ?? new Float64Array(lags);
  // Of each lag what it keeps, and what it takes of the current before and after the step.
  const steps = new Float64Array(3 * lags);
  const shares = new Float64Array(lags);
  // What each lag keeps, and last what the heat leaves of the resistances.
  const powers = new Float64Array(lags + 1);
  const seriesOhm = resistances[0] as number;
  let heat = begun?.heat ?? 0;
  if (begun) {
    time.set(begun.time);
    voltage.set(begun.voltage);
    current.set(begun.current);
  } else {
    const ohm = (factor[0] as number) * seriesOhm;
    current[0] = law.amps(sourceVolts[0] as number, ohm);
    voltage[0] = law.volts(current[0] as number, sourceVolts[0] as number, ohm);
    if (!((current[0] as number) > 0)) return null;
  }
  for (let i = begun?.time.length ?? 1; i < size; i++) {
    const before = current[i - 1] as number;
    const drawn = Math.max(0, (charge[i] as number) - (charge[i - 1] as number));
    let amps = i > 1 ? Math.max(before / 2, 2 * before - (current[i - 2] as number)) : before;
    let seconds = 0;
    let open = 0;
    let metOhm = 0;
    // The step's length depends on the current at its end and that on the length, but weakly.
    for (let round = 0; round < MAX_ROUNDS; round++) {
      const mean = (before + amps) / 2;
      seconds = drawn / mean;
      for (let j = 0; j < lags; j++) {
        const share = seconds / (LAGS_S[j] as number);
        shares[j] = share;
        powers[j] = -share;
      }
      powers[lags] = -warming * (heat + drawn * mean);
      expEach(powers);
      lagSteps(shares, powers, steps);
      let kept = 0;
      let ohm = seriesOhm;
      for (let j = 0; j < lags; j++) {
        const at = 3 * j;
        const resistance = resistances[j + 1] as number;
        kept += resistance * ((steps[at] as number) * (lagged[j] as number) + (steps[at + 1] as number) * before);
        ohm += resistance * (steps[at + 2] as number);
      }
      const f = (factor[i] as number) * (powers[lags] as number);
      open = (sourceVolts[i] as number) - f * kept;
      metOhm = f * ohm;
      const next = law.amps(open, metOhm);
      const change = Math.abs(next - amps);
      amps = next;
      if (!(next > 0)) return null;
      if (change <= settled * next) break;
    }
    for (let j = 0; j < lags; j++) {
      const at = 3 * j;
      lagged[j] =
        (steps[at] as number) * (lagged[j] as number) +
        (steps[at + 1] as number) * before +
        (steps[at + 2] as number) * amps;
    }
    heat += (drawn * (before + amps)) / 2;
    time[i] = (time[i - 1] as number) + seconds;
    current[i] = amps;
    voltage[i] = law.volts(amps, open, metOhm);
  }
  return { time, voltage, current, lagged, heat };
}

export interface TranslationTarget {
  readonly load: TranslationLoad;
  readonly series: number;
  /** Of the pack, V. */
  readonly cutoffVolts: number;
  /** Factor on the charge by which the source is carried on past the end of the log. */
  readonly extension: number;
  /** @default 1e-11 */
  readonly settled?: number | undefined;
}

/** A run under a standard load, as a trace of the whole pack from onset on; null where its source gives no current there. */
export function translate(
  source: CellSource,
  { reachedCutoff }: Pick<RunModel, "reachedCutoff">,
  { load, series, cutoffVolts, extension, settled = SETTLED }: TranslationTarget,
): Trace | null {
  const law = loadLaw(load, series);
  const cutoff = cutoffVolts / series;
  const within = underLoad(source, law, settled);
  if (!within) return null;
  const lastVolts = within.voltage[within.voltage.length - 1] as number;
  const further = reachedCutoff && lastVolts > cutoff ? carriedOn(source, lastVolts - cutoff, extension) : null;
  const course = (further && underLoad(further, law, settled, within)) ?? within;
  const { time, voltage, current } = course;
  return { time, current, voltage: times(voltage, series), temperature: null };
}

/** What a run's source shows at 10 s: the voltage of a cell without load and the resistance that its current meets. */
export function sourceAt10S(source: CellSource, model: RunModel): { readonly openVolts: number; readonly ohm: number } {
  const { run, current10sA, volts10s } = model;
  const i = Math.min(indexAtOrAfter(run.time, 10), run.loaded - 1);
  const ohm = ((source.sourceVolts[i] as number) - (run.voltage[i] as number)) / (run.current[i] as number);
  return { openVolts: volts10s + current10sA * ohm, ohm };
}

/** Current of a load over the run's own, at 10 s: how far a translation carries; NaN where the pack cannot give what the load asks for. */
export function carriedBy(source: CellSource, model: RunModel, load: TranslationLoad, series: number): number {
  const { openVolts, ohm } = sourceAt10S(source, model);
  return loadLaw(load, series).amps(openVolts, ohm) / model.current10sA;
}
