import type { Trace } from "../model.js";
import { indexAtOrAfter } from "../trace/series.js";
import { lessParabola, parabolaWeights } from "./parabola.js";
import { type LoadedStretch, type ResidualChannel, standardised } from "./residual.js";
import { Room } from "./room.js";
import { BITS, POINTS_PER_UNIT, type Windows } from "./window-shape.js";

/** Units in which single samples are looked at, s, each with the longest time between samples for which it is used. */
export const UNITS = [
  { unitS: 1, longestStepS: 0.5 },
  { unitS: 10, longestStepS: 5 },
  { unitS: 60, longestStepS: 30 },
] as const;
type Unit = (typeof UNITS)[number];
const UNITS_USED = 2;
/** After the load begins, this many units are left out. */
const SETTLING_UNITS = 5;
/** Taken out of each sample is the parabola through this many on each side, whole units away. */
const NEIGHBOURS = 4;
const PARABOLA = parabolaWeights(NEIGHBOURS);
/** Samples that a hash and its parabolas need, whole units apart. */
const SPAN = BITS + 2 * NEIGHBOURS;
/** Most samples at which hashes begin. */
const MAX_STARTS = 10_000;

export function unitsOf({ stepS }: LoadedStretch): Unit[] {
  return UNITS.filter(({ longestStepS }) => stepS <= longestStepS).slice(0, UNITS_USED);
}

/**
 * The residuals of a sample and of those whole units after it. Each comes of samples whole units apart alone, so that a copy
 * with every second, fifth or tenth sample has the very same. Null when there is no noise.
 */
export function sampleWindows(
  trace: Trace,
  { fromS, toS }: LoadedStretch,
  channel: ResidualChannel,
  { unitS }: Unit,
): Windows | null {
  const from = indexAtOrAfter(trace.time, fromS + SETTLING_UNITS * unitS);
  const to = indexAtOrAfter(trace.time, toS);
  const [time, readings] = [trace.time.subarray(from, to), trace[channel].subarray(from, to)];
  const lastS = (time.at(-1) ?? 0) - (SPAN - 1) * unitS;
  const starts = startsOf(time, lastS);
  const places = placesByPhase(starts, unitS);
  const values = standardised(residualsAt(time, readings, starts, unitS, places), readings);
  if (!values) return null;
  const offsets = new Int32Array(starts.length);
  for (let at = 0; at < starts.length; at++) {
    const instant = starts[at] as number;
    offsets[places[at] as number] = Math.round(((instant + NEIGHBOURS * unitS) * POINTS_PER_UNIT) / unitS);
  }
  return { offsets, values };
}

/** The instants up to a last one; where they are many, evenly some of them. */
function startsOf(time: Float64Array, lastS: number): Float64Array {
  let possible = 0;
  while (possible < time.length && (time[possible] as number) <= lastS) possible++;
  const stride = Math.ceil(possible / MAX_STARTS);
  const starts = new Float64Array(possible === 0 ? 0 : Math.ceil(possible / stride));
  for (let i = 0; i < starts.length; i++) starts[i] = time[i * stride] as number;
  return starts;
}

const samplesOfStarts = new Room();

/** `BITS` residuals for each start, of what lies whole units after it, at the start's place. */
function residualsAt(
  time: Float64Array,
  readings: Float64Array,
  starts: Float64Array,
  unitS: number,
  places: Int32Array,
): Float64Array {
  const samples = samplesOfStarts.take(starts.length * SPAN);
  for (let k = 0; k < SPAN; k++) {
    let next = 1;
    for (let at = 0; at < starts.length; at++) {
      const instant = (starts[at] as number) + k * unitS;
      while (next < time.length - 1 && (time[next] as number) < instant) next++;
      const t0 = time[next - 1] as number;
      const v0 = readings[next - 1] as number;
      const rise = (readings[next] as number) - v0;
      samples[at * SPAN + k] = v0 + (rise * (instant - t0)) / ((time[next] as number) - t0);
    }
  }
  const residuals = new Float64Array(starts.length * BITS);
  for (let at = 0; at < starts.length; at++) {
    const into = (places[at] as number) * BITS;
    for (let bit = 0; bit < BITS; bit++) residuals[into + bit] = lessParabola(samples, at * SPAN + bit, PARABOLA);
  }
  return residuals;
}

/**
 * The place of each instant in the order of their phase within the unit. Hashes that begin whole units apart look at much the same
 * samples: those chosen part by part in this order spread over all phases, and some are in whatever a copy left.
 */
function placesByPhase(instants: Float64Array, unitS: number): Int32Array {
  const phases = new Int32Array(instants.length);
  // Rounding may give one more.
  const next = new Int32Array(POINTS_PER_UNIT + 2);
  for (let i = 0; i < instants.length; i++) {
    const units = (instants[i] as number) / unitS;
    const phase = Math.floor((units - Math.floor(units)) * POINTS_PER_UNIT);
    phases[i] = phase;
    next[phase + 1] = (next[phase + 1] as number) + 1;
  }
  for (let phase = 1; phase < next.length; phase++) next[phase] = (next[phase] as number) + (next[phase - 1] as number);
  const places = new Int32Array(instants.length);
  for (let i = 0; i < instants.length; i++) {
    const phase = phases[i] as number;
    const place = next[phase] as number;
    places[i] = place;
    next[phase] = place + 1;
  }
  return places;
}
