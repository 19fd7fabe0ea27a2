import type { Trace } from "../model.js";
import { mean, valueAt } from "../trace/series.js";
import type { Stop } from "../trace/stop.js";
import { type Loaded, loadedPart, type Rise, riseOf } from "./loaded.js";
import { recoveryOhm } from "./recovery.js";
import { fitRelaxation, PIVOT_S, type Relaxation, type RestVolts, relaxationSums } from "./relaxation.js";
import { growthAt, resistanceAt, type SourceResistance } from "./resistance.js";

const LATE_S = 10;
const HALF_WINDOW_S = 0.5;
/** Rounds in which resistance and warming are made to agree; each gains more than a digit. */
const ROUNDS = 12;

/** How far the parts of the source model are moved from their best estimates, in standard uncertainties. */
export interface SourceShift {
  /** Of the resistance as a whole. */
  readonly resistance: number;
  /** Of the growth of the resistance with time. */
  readonly relaxation: number;
  /** Of the resistance at the end of the run over that at its beginning. */
  readonly warming: number;
  /** Of the voltage once the surface charge is gone. */
  readonly surface: number;
}
export const NO_SHIFT: SourceShift = { resistance: 0, relaxation: 0, warming: 0, surface: 0 };

/** Standard uncertainty of the growth as a share of R_1, about the resistance at 3 s, which it leaves as it is. */
const GROWTH_SHARE = 0.03;
const RELAXATION_PIVOT = growthAt(PIVOT_S);
/** Standard uncertainty of the resistance as a whole, as a share of it. */
const RESISTANCE_SHARE = 0.02;
/** Resistance at the end over that at the beginning: its standard uncertainty, and what it is when no recovery was logged. */
const WARMING_UNCERTAINTY = 0.1;
const USUAL_WARMING = 0.87;
const USUAL_WARMING_UNCERTAINTY = 0.12;
/** Bounds of that ratio: outside them the voltage after the run is no recovery. */
const MIN_WARMING = 0.4;
const MAX_WARMING = 1.5;

/**
 * The pack as a source behind a resistance (Thevenin's theorem), along one run: U(q) = V + I R at the samples of
 * the load phase, where q is the charge drawn since onset.
 */
export interface SourceModel {
  /** q, As; rising. */
  readonly charge: Float64Array;
  /** U, V. */
  readonly sourceVolts: Float64Array;
  readonly resistance: SourceResistance;
  readonly rise: Rise;
  /** I, U and R at 10 s. */
  readonly current10sA: number;
  readonly source10sV: number;
  readonly resistance10sOhm: number;
}

/** What a source model is made from beside the trace. */
export interface SourceFrame {
  readonly rest: RestVolts | null;
  readonly stop: Pick<Stop, "loadEndS" | "endS">;
  /** I_hi, A. */
  readonly loadCurrentA: number;
  readonly series: number;
  readonly shift: SourceShift;
}

/** Standard uncertainty of the settled voltage of a cell, V (common practice, no published source). */
const SETTLED_UNCERTAINTY_V = 0.02;

/**
 * The source model of a run, or null when no rest was logged, the run ended before the mark at 10 s, or the voltages
 * are those of no source. See docs/definitions.md, 19 to 22.
 */
export function sourceOf(trace: Trace, { rest, stop, loadCurrentA, series, shift }: SourceFrame): SourceModel | null {
  if (rest === null || stop.endS < LATE_S + HALF_WINDOW_S) return null;
  const loaded = loadedPart(trace, stop.loadEndS);
  const rise = riseOf(loaded, loadCurrentA);
  const settledAtMost = rest.settledAtMost + shift.surface * SETTLED_UNCERTAINTY_V * series;
  const recovered = recoveryOhm(trace, stop.loadEndS);
  const resistance = resistanceOf(loaded, { ...rest, settledAtMost }, { rise, endS: stop.endS, recovered, shift });
  if (!resistance || !(resistance.earlyOhm > 0)) return null;
  const sourceVolts = sourceOver(loaded, resistance);
  if (!sourceVolts.every((volts) => volts > 0)) return null;
  const current10sA = markMean(trace, trace.current);
  const resistance10sOhm = resistanceAt(resistance, LATE_S, valueAt(loaded.time, loaded.heat, LATE_S));
  const source10sV = markMean(trace, trace.voltage) + current10sA * resistance10sOhm;
  return { charge: loaded.charge, sourceVolts, resistance, rise, current10sA, source10sV, resistance10sOhm };
}

const markMean = (trace: Trace, values: Float64Array): number =>
  mean(trace.time, values, LATE_S - HALF_WINDOW_S, LATE_S + HALF_WINDOW_S);

interface ResistanceFrame {
  readonly rise: Rise;
  readonly endS: number;
  readonly recovered: number | null;
  readonly shift: SourceShift;
}

function resistanceOf(
  loaded: Loaded,
  rest: RestVolts,
  { rise, endS, recovered, shift }: ResistanceFrame,
): SourceResistance | null {
  const wholeHeat = loaded.heat[loaded.heat.length - 1] as number;
  let fallPerHeat = 0;
  let relaxation: Relaxation | null = null;
  const sums = relaxationSums(loaded, rest, { riseEndS: rise.endS, endS });
  if (!sums) return null;
  for (let round = 0; round < ROUNDS; round++) {
    relaxation = fitRelaxation(sums, fallPerHeat);
    if (!relaxation) return null;
    fallPerHeat = (1 - warmingOf(recovered, relaxation.earlyOhm, shift.warming)) / wholeHeat;
  }
  if (!relaxation) return null;
  return { ...shifted(relaxation, shift), fallPerHeat };
}

function shifted({ earlyOhm, growthOhm, pivotNoiseOhm, growthNoiseOhm }: Relaxation, shift: SourceShift) {
  const pivotOhm = earlyOhm + growthOhm * RELAXATION_PIVOT;
  const whole = 1 + (shift.resistance * Math.hypot(RESISTANCE_SHARE * pivotOhm, pivotNoiseOhm)) / pivotOhm;
  const growth = shift.relaxation * Math.hypot(GROWTH_SHARE * earlyOhm, growthNoiseOhm);
  return { earlyOhm: whole * earlyOhm - growth * RELAXATION_PIVOT, growthOhm: whole * growthOhm + growth };
}

/** Resistance at the end of the run over that at its beginning. */
function warmingOf(recovered: number | null, earlyOhm: number, shift: number): number {
  if (recovered === null) return USUAL_WARMING + shift * USUAL_WARMING_UNCERTAINTY;
  const ratio = Math.min(MAX_WARMING, Math.max(MIN_WARMING, recovered / earlyOhm));
  return ratio + shift * WARMING_UNCERTAINTY;
}

/** U at the samples. */
function sourceOver({ time, voltage, current, heat }: Loaded, resistance: SourceResistance): Float64Array {
  return voltage.map(
    (volts, i) => volts + (current[i] as number) * resistanceAt(resistance, time[i] as number, heat[i] as number),
  );
}
