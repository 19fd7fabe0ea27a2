import type { Chemistry, Trace } from "../model.js";
import { exp } from "../numerics/library.js";
import { indexAtOrAfter, mean } from "../trace/series.js";
import { earlyOhmOf, openCircuitVolts, resistanceFactor, SERIES_OHM, SHAPE } from "./cell-model.js";
import { type FittedCell, fitCellModel } from "./fit-cell-model.js";
import { type FitGroup, fitGroups } from "./fit-groups.js";
import { type FitPoint, fitPoints, withVoltages } from "./fit-points.js";
import { type LoadedRun, loadedRun, movedRun, type RunSpan } from "./loaded-run.js";
import { openCircuitCurve } from "./open-circuit-curves.js";

const MARK_S = 10;
const HALF_WINDOW_S = 0.5;

/** What a model is made from beside the trace. */
export interface ModelFrame extends RunSpan {
  readonly chemistry: Chemistry;
  /** V0 of the pack. */
  readonly restVolts: number;
  readonly reachedCutoff: boolean;
}

/** A run with the model that was fitted to it; everything per cell. */
export interface RunModel {
  readonly trace: Trace;
  readonly run: LoadedRun;
  /** What it was fitted to: samples of `run`, and their means. */
  readonly groups: readonly FitGroup[];
  readonly points: readonly FitPoint[];
  readonly fitted: FittedCell;
  readonly chemistry: Chemistry;
  readonly reachedCutoff: boolean;
  /** Whether the rest after the load was logged and fitted too. */
  readonly recoveryLogged: boolean;
  /** I and V at 10 s; V per cell. */
  readonly current10sA: number;
  readonly volts10s: number;
}

/** The model of a run; null when it ended before the mark at 10 s or its voltages are those of no source. */
export function runModelOf(trace: Trace, frame: ModelFrame): RunModel | null {
  if (frame.loadEndS < MARK_S + HALF_WINDOW_S) return null;
  const run = loadedRun(trace, frame);
  return run && fittedTo(trace, frame, run, fitGroups(run));
}

/** The model of a run whose trace is that of a fitted one, moved a little: phases and groups of samples stay those of that fit. */
export function refittedTo(trace: Trace, frame: ModelFrame, near: RunModel): RunModel | null {
  if (frame.loadEndS < MARK_S + HALF_WINDOW_S) return null;
  const run = movedRun(trace, frame, near);
  if (!run) return null;
  const place = (i: number) => Math.max(0, i + near.run.begins - run.begins);
  const groups = near.groups.map((group) => ({ ...group, from: place(group.from), to: place(group.to) }));
  return fittedTo(trace, frame, run, groups, near);
}

/**
 * The model of a run that is fitted to these groups of its samples; null when its voltages are those of no source.
 *
 * @param near the model of a run with the same groups: what a run has in common with it is not computed again
 */
export function fittedTo(
  trace: Trace,
  frame: ModelFrame,
  run: LoadedRun,
  groups: readonly FitGroup[],
  near?: RunModel,
): RunModel | null {
  const restVolts = frame.restVolts / frame.series;
  const earlyAmps = mean(trace.time, trace.current, 0.5, 1.5);
  const earlyOhm = (restVolts - mean(trace.time, trace.voltage, 0.5, 1.5) / frame.series) / earlyAmps;
  if (!(earlyOhm > 0)) return null;
  const { chemistry, reachedCutoff } = frame;
  const points =
    near?.run.charge === run.charge
      ? withVoltages(near.points, run.voltage, groups, restVolts)
      : fitPoints(run, groups, restVolts);
  const fitted = fitCellModel(points, { chemistry, earlyOhm, reachedCutoff });
  if (!fitted) return null;
  const at10s = (values: Float64Array) => mean(trace.time, values, MARK_S - HALF_WINDOW_S, MARK_S + HALF_WINDOW_S);
  return {
    trace,
    run,
    groups,
    points,
    fitted,
    chemistry,
    reachedCutoff,
    recoveryLogged: groups.some(({ recovery }) => recovery),
    current10sA: at10s(trace.current),
    volts10s: at10s(trace.voltage) / frame.series,
  };
}

/** A cell as a source along the charge of its run: U(q) behind resistances that lag. All arrays have the same length. */
export interface CellSource {
  /** q, As, rising; and as a share of the run's. */
  readonly charge: Float64Array;
  /** U = V + f sum(r_j x_j), V. */
  readonly sourceVolts: Float64Array;
  /** Factor on the resistances at each charge, without warmth. */
  readonly factor: Float64Array;
  /** r_j, ohm; that of the series resistance less delta. */
  readonly resistances: Float64Array;
  /** g4 over the heat of the run, 1 / (A^2 s). */
  readonly warming: number;
}

const AVERAGED_S = 0.5;
/** Samples this near to the end of that time lie on it, s. */
const SAME_S = 1e-6;
/** Kinetics leave at least this share of the series resistance. */
const MIN_SERIES_SHARE = 0.1;

/** What of a model is moved from its best estimate. */
export interface ModelState {
  /** delta: by this share of the resistance after 1 s, a change of load meets less than V / I says. */
  readonly kinetics: number;
  readonly unknowns: Float64Array;
}

/** The source behind a run, by its model in a state. */
export function cellSource({ run, fitted, chemistry }: RunModel, { kinetics, unknowns }: ModelState): CellSource {
  const { charge, heat, voltage, current, lagged, loaded, full, time } = run;
  const wholeCharge = charge[loaded - 1] as number;
  const wholeHeat = heat[loaded - 1] as number;
  const resistances = unknowns.slice(0, 1 + lagged.length);
  const seriesOhm = unknowns[SERIES_OHM] as number;
  resistances[0] = Math.max(MIN_SERIES_SHARE * seriesOhm, seriesOhm - kinetics * earlyOhmOf(fitted.unknowns));
  const warming = (unknowns[SHAPE + 3] as number) / wholeHeat;
  const factor = new Float64Array(loaded);
  const sourceVolts = new Float64Array(loaded);
  for (let i = 0; i < loaded; i++) {
    const u = (charge[i] as number) / wholeCharge;
    factor[i] = resistanceFactor(unknowns, u, 0);
    let sag = (resistances[0] as number) * (current[i] as number);
    for (let j = 0; j < lagged.length; j++)
      sag += (resistances[j + 1] as number) * ((lagged[j] as Float64Array)[i] as number);
    sourceVolts[i] = (voltage[i] as number) + (factor[i] as number) * exp(-warming * (heat[i] as number)) * sag;
  }
  // While the load rises, voltage and current of a sample may be of different instants: there the model's own course stands in.
  if (full > 0) {
    const curve = openCircuitCurve(chemistry);
    const modelled = (i: number) => openCircuitVolts(fitted.unknowns, curve, (charge[i] as number) / wholeCharge);
    const until = Math.max(
      full + 1,
      Math.min(loaded, indexAtOrAfter(time, (time[full] as number) + AVERAGED_S - SAME_S)),
    );
    let off = 0;
    for (let i = full; i < until; i++) off += (sourceVolts[i] as number) - modelled(i);
    off /= until - full;
    for (let i = 0; i < full; i++) sourceVolts[i] = modelled(i) + off;
  }
  return { charge: charge.subarray(0, loaded), sourceVolts, factor, resistances, warming };
}
