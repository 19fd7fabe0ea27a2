import type { Trace } from "../model.js";
import { fitLine } from "../statistics/line.js";
import { indexAtOrAfter, mean, valueAt } from "../trace/series.js";
import type { Stop } from "../trace/stop.js";

const EARLY_S = 1;
const LATE_S = 10;
const HALF_WINDOW_S = 0.5;
/** The fall of the open-circuit voltage is taken from 10 s to at most here, and to at most half of the run. */
const SLOPE_UNTIL_S = 40;
const SLOPE_SHORTEST_S = 2;
/** Rounds in which slope and resistance are made to agree; each gains about a digit. */
const ROUNDS = 12;

/** How far the parts of the source model are moved from their best estimates, in standard uncertainties. */
export interface SourceShift {
  /** Of the fall of the open-circuit voltage. */
  readonly openCircuit: number;
  /** Of the growth of the resistance with time. */
  readonly relaxation: number;
}
export const NO_SHIFT: SourceShift = { openCircuit: 0, relaxation: 0 };

/** Standard uncertainties of those parts, as shares of them. */
const OPEN_CIRCUIT_SHARE = 0.5;
const RELAXATION_SHARE = 0.25;

/** A resistance that grows with the logarithm of the time under load: R(t) = early + growth ln(t / 1 s), ohm. */
export interface SourceResistance {
  readonly earlyOhm: number;
  readonly growthOhm: number;
}

/**
 * The pack as a source behind a resistance (Thevenin's theorem), along one run: U(q) = V + I R(t) at the samples of
 * the load phase, where q is the charge drawn since onset.
 */
export interface SourceModel {
  /** q, As; rising. */
  readonly charge: Float64Array;
  /** U, V. */
  readonly sourceVolts: Float64Array;
  readonly resistance: SourceResistance;
  /** I and U at 10 s. */
  readonly current10sA: number;
  readonly source10sV: number;
}

/** Resistance after a time under load, ohm; before 1 s that of 1 s. */
export function resistanceAt({ earlyOhm, growthOhm }: SourceResistance, seconds: number): number {
  return seconds <= EARLY_S ? earlyOhm : earlyOhm + growthOhm * Math.log(seconds / EARLY_S);
}

/** The rest voltage of the pack, and what it is once the surface charge of a full pack is gone. */
export interface RestVolts {
  readonly measured: number;
  readonly settledAtMost: number;
  /** Charge over which the surface charge fades to 1/e, As. */
  readonly surfaceChargeC: number;
}

interface Loaded {
  readonly time: Float64Array;
  readonly voltage: Float64Array;
  readonly current: Float64Array;
  readonly charge: Float64Array;
}

/**
 * The source model of a run, or null when no rest was logged, the run ended before the mark at 10 s, or the voltages
 * are those of no source.
 *
 * R at 1 s and 10 s is the fall of the voltage from rest until then without the fall of the open-circuit voltage, over the
 * current then. The latter fall is the charge drawn times the slope of U over q between 10 s and 40 s, and the surface
 * charge above the settled voltage. Growth with ln t is how diffusion and spread time constants show over a few decades
 * of time. See docs/definitions.md, 19 to 22.
 */
export function sourceOf(
  trace: Trace,
  rest: RestVolts | null,
  { loadEndS, endS }: Pick<Stop, "loadEndS" | "endS">,
  shift: SourceShift,
): SourceModel | null {
  if (rest === null || endS < LATE_S + HALF_WINDOW_S) return null;
  const loaded = loadedPart(trace, loadEndS);
  const resistance = resistanceOf(trace, loaded, rest, endS, shift);
  if (!(resistance.earlyOhm > 0)) return null;
  const sourceVolts = sourceOver(loaded, resistance);
  if (!sourceVolts.every((volts) => volts > 0)) return null;
  const current10sA = markMean(trace, trace.current, LATE_S);
  const source10sV = markMean(trace, trace.voltage, LATE_S) + current10sA * resistanceAt(resistance, LATE_S);
  return { charge: loaded.charge, sourceVolts, resistance, current10sA, source10sV };
}

const markMean = (trace: Trace, values: Float64Array, instant: number): number =>
  mean(trace.time, values, instant - HALF_WINDOW_S, instant + HALF_WINDOW_S);

/** The samples from onset (interpolated) to the end of the load phase, with the charge drawn. */
function loadedPart(trace: Trace, loadEndS: number): Loaded {
  const first = indexAtOrAfter(trace.time, 0);
  const last = indexAtOrAfter(trace.time, loadEndS);
  const interpolated = trace.time[first] === 0 ? 0 : 1;
  const cut = (values: Float64Array) => {
    const part = new Float64Array(last + 1 - first + interpolated);
    part[0] = valueAt(trace.time, values, 0);
    part.set(values.subarray(first, last + 1), interpolated);
    return part;
  };
  const time = cut(trace.time);
  time[0] = 0;
  const current = cut(trace.current);
  const charge = new Float64Array(time.length);
  for (let i = 1; i < time.length; i++) {
    const step = (time[i] as number) - (time[i - 1] as number);
    charge[i] = (charge[i - 1] as number) + (step * ((current[i] as number) + (current[i - 1] as number))) / 2;
  }
  return { time, voltage: cut(trace.voltage), current, charge };
}

function resistanceOf(
  trace: Trace,
  loaded: Loaded,
  rest: RestVolts,
  endS: number,
  shift: SourceShift,
): SourceResistance {
  const surface = Math.max(0, rest.measured - rest.settledAtMost);
  const until = Math.min(SLOPE_UNTIL_S, endS / 2);
  const from = indexAtOrAfter(loaded.time, LATE_S);
  const to = until - LATE_S < SLOPE_SHORTEST_S ? from : indexAtOrAfter(loaded.time, until);
  const openCircuitFactor = 1 + shift.openCircuit * OPEN_CIRCUIT_SHARE;
  const growthFactor = 1 + shift.relaxation * RELAXATION_SHARE;
  const at = (instant: number, voltsPerCharge: number) => {
    const drawn = valueAt(loaded.time, loaded.charge, instant);
    const surfaceFall = surface * (1 - Math.exp(-drawn / rest.surfaceChargeC));
    const openCircuitFall = Math.max(0, surfaceFall - voltsPerCharge * drawn) * openCircuitFactor;
    const fall = rest.measured - markMean(trace, trace.voltage, instant) - openCircuitFall;
    return fall / markMean(trace, trace.current, instant);
  };
  const slope = sourceSlope(loaded, from, to);
  let resistance: SourceResistance = { earlyOhm: 0, growthOhm: 0 };
  for (let round = 0; round < ROUNDS; round++) {
    const voltsPerCharge = round === 0 ? 0 : slope(resistance);
    const earlyOhm = at(EARLY_S, voltsPerCharge);
    const growthOhm = (growthFactor * Math.max(0, at(LATE_S, voltsPerCharge) - earlyOhm)) / Math.log(LATE_S / EARLY_S);
    resistance = { earlyOhm, growthOhm };
  }
  return resistance;
}

/**
 * The slope dU/dq over the samples [from, to), as a function of the resistance: U = V + early I + growth I ln t is linear in
 * its parts, and so is the slope of its least-squares line. 0 when there is nothing to fit.
 */
function sourceSlope(loaded: Loaded, from: number, to: number): (resistance: SourceResistance) => number {
  const { charge, voltage, current, time } = loaded;
  const slopeOf = (values: Float64Array) => fitLine(charge, values, from, to)?.slope ?? 0;
  const relaxing = new Float64Array(time.length);
  for (let i = from; i < to; i++) relaxing[i] = (current[i] as number) * Math.log((time[i] as number) / EARLY_S);
  const [ofVoltage, ofCurrent, ofRelaxing] = [slopeOf(voltage), slopeOf(current), slopeOf(relaxing)];
  return ({ earlyOhm, growthOhm }) => ofVoltage + earlyOhm * ofCurrent + growthOhm * ofRelaxing;
}

/** U at the samples. */
function sourceOver(loaded: Loaded, resistance: SourceResistance): Float64Array {
  const volts = new Float64Array(loaded.time.length);
  for (let i = 0; i < volts.length; i++) {
    volts[i] =
      (loaded.voltage[i] as number) +
      (loaded.current[i] as number) * resistanceAt(resistance, loaded.time[i] as number);
  }
  return volts;
}
