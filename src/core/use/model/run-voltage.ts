import { exp, expm1 } from "../../numerics/library.js";
import type { PackRun } from "./pack-run.js";
import {
  CAPACITY_AGE,
  CAPACITY_WARMTH,
  KELVIN,
  OHM,
  REFERENCE_K,
  REFERENCE_START_C,
  RELAXATION_S,
  RELAXATION_SLOPE,
  RESISTANCE_AGE,
  SERIES_SLOPE,
  SHAPE,
  SHAPE_KNOTS,
  SOURCE,
  SOURCE_KNOTS,
  SOURCE_SPLINE,
  UNIT_KNOT,
  type Unknowns,
} from "./unknowns.js";

/** What a run is held against while its pack's model is fitted. */
export interface RunFrame {
  readonly run: PackRun;
  readonly unknowns: Unknowns;
  /** The charge that stands for 1, As. */
  readonly referenceAs: number;
  /** The probe at onset, degC. */
  readonly startC: number;
  /** Core temperature over each stretch, degC. */
  readonly coreC: Float64Array;
  /** Stretches at which the voltage is compared, rising. */
  readonly points: readonly number[];
}

/** Receives the voltage at one of the points, with its derivative by each unknown. */
export type VoltageSink = (point: number, volts: number, slopes: Float64Array, sourceSlope: number) => void;

const TAUS = RELAXATION_S.length;
const SHAPES = SHAPE_KNOTS.length;
/** Of each relaxation: its own state, one for each knot of the shape, and one for the slope with temperature. */
const STATES = 1 + SHAPES + 1;
export const AGE_CYCLES = 100;
export const WARMTH_K = 10;

/**
 * Follows a run under its own current through V = (U(z) - e^s (r0 f(z) g0(T) I + sum r_j x_j)) (1 + e), with
 * dx_j/dt = (f(z) g1(T) I - x_j) / tau_j and z = q e^-c / Q + z0. Exact for a current that is constant over each stretch; voltages are means.
 */
export function followVoltage(frame: RunFrame, values: Float64Array, sink: VoltageSink): void {
  const { run, unknowns, coreC, points } = frame;
  const { seconds, current } = run.grid;
  const at = (i: number) => values[i] as number;
  const scale = scalesOf(frame, values);
  const own = unknowns.specimenAt(run);
  const start = unknowns.startAt(run);
  const gain = at(own + 2);
  const ohms = Array.from({ length: TAUS + 1 }, (_, j) => exp(at(OHM + j)));
  const states = new Float64Array(TAUS * STATES);
  const means = new Float64Array(TAUS * STATES);
  const drives = new Float64Array(STATES);
  const slopes = new Float64Array(unknowns.size);
  const row = SOURCE_SPLINE.newRow();
  const shape = new Float64Array(SHAPES);
  const steps = { h: -1, kept: new Float64Array(TAUS), held: new Float64Array(TAUS) };
  let drawnAs = 0;
  let next = 0;
  for (let i = 0; i < seconds.length && next < points.length; i++) {
    const h = seconds[i] as number;
    const amps = current[i] as number;
    const z = (start === null ? 0 : at(start)) + (drawnAs + (amps * h) / 2) / scale.chargeAs;
    const segment = weighShape(z, shape);
    let lnShape = 0;
    for (let m = 0; m < SHAPES; m++) lnShape += (shape[m] as number) * at(SHAPE + m);
    const warmth = 1 / ((coreC[i] as number) + KELVIN) - 1 / REFERENCE_K;
    const f = exp(lnShape);
    const drive = f * exp(at(RELAXATION_SLOPE) * warmth) * amps;
    drives[0] = drive;
    for (let m = 0; m < SHAPES; m++) drives[1 + m] = drive * (shape[m] as number);
    drives[1 + SHAPES] = drive * warmth;
    if (h !== steps.h) {
      steps.h = h;
      RELAXATION_S.forEach((tau, j) => {
        steps.kept[j] = exp(-h / tau);
        steps.held[j] = (-expm1(-h / tau) * tau) / h;
      });
    }
    for (let j = 0; j < TAUS; j++) {
      const [kept, held] = [steps.kept[j] as number, steps.held[j] as number];
      for (let n = 0; n < STATES; n++) {
        const target = drives[n] as number;
        const off = (states[j * STATES + n] as number) - target;
        means[j * STATES + n] = target + off * held;
        states[j * STATES + n] = target + off * kept;
      }
    }
    if (i === points[next]) {
      const series = scale.ohm * (ohms[0] as number) * f * exp(at(SERIES_SLOPE) * warmth) * amps;
      SOURCE_SPLINE.weigh(z, row);
      let [source, sourceSlope] = [0, 0];
      for (let k = 0; k < SOURCE_KNOTS.length; k++) {
        source += (row.value[k] as number) * at(SOURCE + k);
        sourceSlope += (row.slope[k] as number) * at(SOURCE + k);
      }
      slopes.fill(0);
      const gained = 1 + gain;
      for (let k = 0; k < SOURCE_KNOTS.length; k++) slopes[SOURCE + k] = gained * (row.value[k] as number);
      let relaxed = 0;
      let relaxedWarmth = 0;
      for (let m = 0; m < SHAPES; m++) slopes[SHAPE + m] = -gained * series * (shape[m] as number);
      for (let j = 0; j < TAUS; j++) {
        const ohm = scale.ohm * (ohms[j + 1] as number);
        const fall = ohm * (means[j * STATES] as number);
        relaxed += fall;
        relaxedWarmth += ohm * (means[j * STATES + 1 + SHAPES] as number);
        slopes[OHM + 1 + j] = -gained * fall;
        for (let m = 0; m < SHAPES; m++) {
          slopes[SHAPE + m] = (slopes[SHAPE + m] as number) - gained * ohm * (means[j * STATES + 1 + m] as number);
        }
      }
      slopes[SHAPE + UNIT_KNOT] = 0;
      slopes[OHM] = -gained * series;
      slopes[SERIES_SLOPE] = -gained * series * warmth;
      slopes[RELAXATION_SLOPE] = -gained * relaxedWarmth;
      const sag = series + relaxed;
      const byCharge = gained * (sourceSlope - sag * shapeSlope(values, segment));
      const byCapacity = -(z - (start === null ? 0 : at(start))) * byCharge;
      const { age, warmed } = scale;
      slopes[own] = byCapacity;
      slopes[own + 1] = -gained * sag;
      slopes[own + 2] = source - sag;
      slopes[CAPACITY_AGE] = byCapacity * age;
      slopes[RESISTANCE_AGE] = -gained * sag * age;
      slopes[CAPACITY_WARMTH] = byCapacity * warmed;
      if (start !== null) slopes[start] = byCharge;
      sink(next, gained * (source - sag), slopes, sourceSlope);
      next++;
    }
    drawnAs += amps * h;
  }
}

/** What a run's specimen, age and temperature make of the pack's charge and resistance. */
export function scalesOf({ run, unknowns, referenceAs, startC }: RunFrame, values: Float64Array) {
  const at = (i: number) => values[i] as number;
  const own = unknowns.specimenAt(run);
  const age = ((run.cycles ?? 0) - unknowns.referenceCycles) / AGE_CYCLES;
  const warmed = (startC - REFERENCE_START_C) / WARMTH_K;
  return {
    age,
    warmed,
    chargeAs: referenceAs * exp(at(own) + at(CAPACITY_AGE) * age + at(CAPACITY_WARMTH) * warmed),
    ohm: exp(at(own + 1) + at(RESISTANCE_AGE) * age),
  };
}

/** Weights of the shape's knots at `z`, into `weights`; returns the knot before it, -1 outside the knots. */
function weighShape(z: number, weights: Float64Array): number {
  weights.fill(0);
  const last = SHAPES - 1;
  if (z <= 0 || z >= 1) {
    weights[z <= 0 ? 0 : last] = 1;
    return -1;
  }
  let k = 0;
  while (k < last - 1 && (SHAPE_KNOTS[k + 1] as number) <= z) k++;
  const right = (z - (SHAPE_KNOTS[k] as number)) / ((SHAPE_KNOTS[k + 1] as number) - (SHAPE_KNOTS[k] as number));
  weights[k] = 1 - right;
  weights[k + 1] = right;
  return k;
}

/** How the logarithm of the shape changes with z between two knots. */
function shapeSlope(values: Float64Array, segment: number): number {
  if (segment < 0) return 0;
  const width = (SHAPE_KNOTS[segment + 1] as number) - (SHAPE_KNOTS[segment] as number);
  return ((values[SHAPE + segment + 1] as number) - (values[SHAPE + segment] as number)) / width;
}
