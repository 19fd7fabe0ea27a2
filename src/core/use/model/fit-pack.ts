import { hypot } from "../../numerics/hypot.js";
import { exp } from "../../numerics/library.js";
import { square } from "../../numerics/square.js";
import { addGram, factorise, solve } from "../../translation/normal-equations.js";
import { type FittedHeat, fitHeat, type HeatedRun, heatFrom, heatPriors } from "./fit-heat.js";
import { fitPoints } from "./fit-points.js";
import { TABLE_INTERVALS } from "./pack-model.js";
import type { PackRun, PooledPack } from "./pack-run.js";
import { warm } from "./run-heat.js";
import { followVoltage, type RunFrame, scalesOf } from "./run-voltage.js";
import {
  OHM,
  PER_SPECIMEN,
  RELAXATION_S,
  SHAPE,
  SHARED,
  SOURCE_KNOTS,
  SOURCE_SPLINE,
  type Spans,
  type Unknowns,
  unknownsOf,
} from "./unknowns.js";

/** A pack's joint fit over several runs, its mean specimen being the one of scale 1. */
export interface FittedPack {
  readonly unknowns: Unknowns;
  readonly values: Float64Array;
  /** Of what all specimens share: covariance of the first `SHARED` unknowns for a mean specimen that is known, by rows. */
  readonly covariance: Float64Array;
  /** Derivatives of the voltages of all points by those unknowns, V of a cell, by rows of `SHARED`. */
  readonly slopes: Float64Array;
  /** The charge that stands for 1, As, of the mean specimen. */
  readonly referenceAs: number;
  readonly heat: FittedHeat;
  readonly spans: Spans;
}

const ROUNDS = 10;
/** Of one voltage, V of a cell, before what stands below. */
const DEVIATION_V = 0.003;
/** So many points of a run tell as much as all of them: their errors go together. */
const INDEPENDENT_POINTS = 10;
/** Beyond this a voltage counts as an outlier, V (Huber). */
const HUBER_V = 0.03;
/** Of a charge, as a share: where the source falls steeply, voltages tell less. */
const CHARGE_DEVIATION = 0.002;
const REST_DEVIATION_V = 0.004;
/** How far the source's slope may change from one knot to the next, V over the knots' distance: in the middle and at both ends. */
const BEND_V = 0.03;
const END_BEND_V = 0.12;
const KNOWN = 1e-5;
const MIN_CYCLES_SPAN = 30;
const MIN_START_SPAN_K = 8;

/** Fits one model to all runs of a pack: voltages by Gauss and Newton's method, heat beside them. null where that runs away. */
export function fitPack(pack: PooledPack, runs: readonly PackRun[]): FittedPack | null {
  const spans = spansOf(runs);
  const unknowns = unknownsOf(pack, runs, spans, earlyOhm(runs));
  const referenceAs = Math.max(
    ...runs.filter((run) => run.drawnBefore === null).map((run) => 3600 * run.grid.chargeAh),
  );
  if (!(referenceAs > 0)) return null;
  const values = Float64Array.from(unknowns.priors, ({ mean }) => mean);
  let frames: RunFrame[] = runs.map((run) => ({
    run,
    unknowns,
    referenceAs,
    startC: startOf(run),
    coreC: new Float64Array(run.grid.seconds.length).fill(startOf(run)),
    points: fitPoints(run),
  }));
  let heat: FittedHeat | undefined;
  let normal = new Float64Array();
  for (let round = 0; round < ROUNDS; round++) {
    const heated = frames.map((frame) => heatedRun(frame, values));
    // Before the source is known, its heat is not.
    if (round > 1) heat = fitHeat(pack, heated, heat?.unknowns);
    const cell = heat?.heat ?? heatFrom(heatPriors(pack).map(({ mean }) => mean));
    frames = frames.map((frame, k) => {
      const { run, watts, startC, ambientC } = heated[k] as HeatedRun;
      return { ...frame, coreC: warm(cell, run.grid.seconds, watts, startC, ambientC).coreC };
    });
    const step = stepOf(frames, values);
    if (!step) return null;
    normal = step.normal;
    for (let i = 0; i < values.length; i++) values[i] = (values[i] as number) + (step.change[i] as number);
  }
  if (!values.every(Number.isFinite) || !heat) return null;
  const slopes = sharedSlopes(frames, values);
  const covariance = sharedCovariance(normal, unknowns);
  return { unknowns, covariance, slopes, heat, spans, ...centred(unknowns, values, referenceAs) };
}

const startOf = ({ grid, ambientC }: PackRun): number => {
  if (grid.temperature === null) return ambientC ?? 23;
  const first = grid.startS < 0 ? Math.max(0, Math.round(-grid.startS / (grid.seconds[0] as number)) - 1) : 0;
  return grid.temperature[first] as number;
};

/** (V0 - V) / I of a cell some second after onset, the median of all runs, ohm. */
function earlyOhm(runs: readonly PackRun[]): number {
  const found = runs.flatMap(({ grid }) => {
    const i = Math.min(grid.full + 8, grid.loaded - 1);
    const rest = grid.restVolts ?? grid.voltage[0];
    const ohm = ((rest as number) - (grid.voltage[i] as number)) / (grid.current[i] as number);
    return ohm > 0 && Number.isFinite(ohm) ? [ohm] : [];
  });
  return found.length === 0 ? 0.002 : (found.sort((a, b) => a - b)[found.length >> 1] as number);
}

function spansOf(runs: readonly PackRun[]): Spans {
  const cycles = runs.map((run) => run.cycles);
  const starts = runs.filter(({ grid }) => grid.temperature !== null).map(startOf);
  const known = cycles.filter((one) => one !== null);
  return {
    cycles: known.length === cycles.length && Math.max(...known) - Math.min(...known) >= MIN_CYCLES_SPAN,
    startC: starts.length > 1 && Math.max(...starts) - Math.min(...starts) >= MIN_START_SPAN_K,
  };
}

/** The heat of a run by the source as it is known now: what its measured voltage lacks, times its current. */
function heatedRun(frame: RunFrame, values: Float64Array): HeatedRun {
  const { run, startC } = frame;
  const { seconds, current, voltage } = run.grid;
  const { chargeAs } = scalesOf(frame, values);
  const start = frame.unknowns.startAt(run);
  const table = SOURCE_SPLINE.table(values.subarray(0, SOURCE_KNOTS.length), TABLE_INTERVALS);
  let drawn = 0;
  const watts = seconds.map((h, i) => {
    const amps = current[i] as number;
    const z = (start === null ? 0 : (values[start] as number)) + (drawn + (amps * h) / 2) / chargeAs;
    drawn += amps * h;
    const place = Math.min(Math.max(z, 0), 1) * TABLE_INTERVALS;
    const k = Math.min(TABLE_INTERVALS - 1, Math.floor(place));
    const source = (table[k] as number) + (place - k) * ((table[k + 1] as number) - (table[k] as number));
    return amps * (source - (voltage[i] as number));
  });
  return { run, watts, startC, ambientC: run.ambientC ?? startC };
}

/** One step of Gauss and Newton's method; null where the equations are not positive definite. */
function stepOf(frames: readonly RunFrame[], values: Float64Array) {
  const [first] = frames as [RunFrame];
  const { size, priors } = first.unknowns;
  const rows: { readonly slopes: Float64Array; readonly off: number; readonly deviation: number }[] = [];
  for (const frame of frames) addRows(frame, values, rows);
  addBends(values, size, rows);
  const columns = new Float64Array(size * rows.length);
  const scale = priors.map(({ deviation }) => deviation);
  const normal = new Float64Array(size * size);
  const right = new Float64Array(size);
  priors.forEach(({ mean, deviation }, i) => {
    normal[i * size + i] = 1;
    right[i] = (mean - (values[i] as number)) / deviation;
  });
  rows.forEach(({ slopes, off, deviation }, k) => {
    for (let i = 0; i < size; i++) {
      const slope = ((slopes[i] as number) * (scale[i] as number)) / deviation;
      columns[i * rows.length + k] = slope;
      right[i] = (right[i] as number) + (slope * off) / deviation;
    }
  });
  const all = { from: 0, to: size };
  addGram(columns, rows.length, normal, size, all, all);
  const whole = normal.slice();
  if (!factorise(normal, size)) return null;
  solve(normal, right, size);
  const change = right.map((value, i) => Math.min(3, Math.max(-3, value)) * (scale[i] as number));
  return { change, normal: whole };
}

function addRows(
  frame: RunFrame,
  values: Float64Array,
  rows: { readonly slopes: Float64Array; readonly off: number; readonly deviation: number }[],
): void {
  const { grid } = frame.run;
  const share = Math.sqrt(frame.points.length / INDEPENDENT_POINTS);
  followVoltage(frame, values, (point, volts, slopes, sourceSlope) => {
    const off = (grid.voltage[frame.points[point] as number] as number) - volts;
    const outlying = Math.sqrt(Math.max(1, Math.abs(off) / HUBER_V));
    const deviation = share * outlying * hypot(DEVIATION_V, CHARGE_DEVIATION * sourceSlope);
    rows.push({ slopes: slopes.slice(), off, deviation });
  });
  if (grid.restVolts === null || frame.run.drawnBefore !== null) return;
  const gain = values[frame.unknowns.specimenAt(frame.run) + 2] as number;
  const slopes = new Float64Array(values.length);
  slopes[0] = 1 + gain;
  slopes[frame.unknowns.specimenAt(frame.run) + 2] = values[0] as number;
  rows.push({ slopes, off: grid.restVolts - (1 + gain) * (values[0] as number), deviation: REST_DEVIATION_V });
}

/** The source bends little: weak expectations of its slope's change at each knot. */
function addBends(
  values: Float64Array,
  size: number,
  rows: { readonly slopes: Float64Array; readonly off: number; readonly deviation: number }[],
): void {
  for (let k = 1; k < SOURCE_KNOTS.length - 1; k++) {
    const z = SOURCE_KNOTS[k] as number;
    const [before, after] = [z - (SOURCE_KNOTS[k - 1] as number), (SOURCE_KNOTS[k + 1] as number) - z];
    const width = (before + after) / 2;
    const slopes = new Float64Array(size);
    slopes[k - 1] = width / before;
    slopes[k + 1] = width / after;
    slopes[k] = -width / before - width / after;
    let bend = 0;
    for (let i = k - 1; i <= k + 1; i++) bend += (slopes[i] as number) * (values[i] as number);
    rows.push({ slopes, off: -bend, deviation: z < 0.06 || z > 0.88 ? END_BEND_V : BEND_V });
  }
}

function sharedSlopes(frames: readonly RunFrame[], values: Float64Array): Float64Array {
  const rows: Float64Array[] = [];
  for (const frame of frames) followVoltage(frame, values, (_, __, slopes) => rows.push(slopes.slice(0, SHARED)));
  const found = new Float64Array(SHARED * rows.length);
  rows.forEach((row, k) => {
    found.set(row, k * SHARED);
  });
  return found;
}

/** The normal equations' inverse for a mean specimen that is known: what the mean leaves open is a direction of its own. */
function sharedCovariance(normal: Float64Array, { size, specimens, priors }: Unknowns): Float64Array {
  const matrix = normal.slice();
  for (const offset of [0, 1]) {
    for (const a of specimens.keys()) {
      for (const b of specimens.keys()) {
        const [i, j] = [SHARED + PER_SPECIMEN * a + offset, SHARED + PER_SPECIMEN * b + offset];
        const scales = (priors[i]?.deviation as number) * (priors[j]?.deviation as number);
        matrix[i * size + j] = (matrix[i * size + j] as number) + scales / square(specimens.length * KNOWN);
      }
    }
  }
  if (!factorise(matrix, size)) throw new Error("the covariance of a pack's fit is not positive definite");
  const covariance = new Float64Array(SHARED * SHARED);
  for (let j = 0; j < SHARED; j++) {
    const column = new Float64Array(size);
    column[j] = 1;
    solve(matrix, column, size);
    for (let i = 0; i < SHARED; i++) {
      covariance[i * SHARED + j] =
        (column[i] as number) * (priors[i]?.deviation as number) * (priors[j]?.deviation as number);
    }
  }
  return covariance;
}

/** Lets the mean specimen have the scales 1: its capacity becomes the reference, its resistance that of the model. */
function centred(unknowns: Unknowns, values: Float64Array, referenceAs: number) {
  const moved = values.slice();
  const count = unknowns.specimens.length;
  const meanOf = (offset: number) =>
    unknowns.specimens.reduce((sum, _, k) => sum + (values[SHARED + PER_SPECIMEN * k + offset] as number), 0) / count;
  const [capacity, resistance] = [meanOf(0), meanOf(1)];
  unknowns.specimens.forEach((_, k) => {
    const at = SHARED + PER_SPECIMEN * k;
    moved[at] = (values[at] as number) - capacity;
    moved[at + 1] = (values[at + 1] as number) - resistance;
  });
  for (let j = 0; j <= RELAXATION_S.length; j++) moved[OHM + j] = (values[OHM + j] as number) + resistance;
  moved[SHAPE + 1] = 0;
  return { values: moved, referenceAs: referenceAs * exp(capacity) };
}
