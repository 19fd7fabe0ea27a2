import { expEach } from "../numerics/each-value.js";
import { exp } from "../numerics/library.js";
import { LAGS_S } from "./lags.js";
import type { OpenCircuitCurve } from "./open-circuit-curves.js";

/** Bends of the open-circuit voltage along a run: their places and widths as shares of its charge. */
export const BENDS = [
  [0, 0.05],
  [0.05, 0.06],
  [0.1, 0.08],
  [0.2, 0.1],
  [0.3, 0.1],
  [0.4, 0.1],
  [0.5, 0.1],
  [0.6, 0.1],
  [0.7, 0.1],
  [0.8, 0.09],
  [0.88, 0.07],
  [0.93, 0.05],
  [0.97, 0.035],
  [1, 0.03],
  // Of the curve as a whole.
  [0.3, 0.2],
  [0.65, 0.2],
] as const;

/** Where each group of unknowns stands among all of them. */
export const SERIES_OHM = 0;
export const SHAPE = 1 + LAGS_S.length;
export const SHAPES = 4;
/** Resistances and their shape: what a translation depends on. */
export const OHMIC = SHAPE + SHAPES;
export const BEND = SHAPE + SHAPES;
export const STRETCH = BEND + BENDS.length;
export const SURFACE = STRETCH + 1;
export const SURFACE_FADE = SURFACE + 1;
export const UNKNOWNS = SURFACE_FADE + 1;

/** Of a run's charge, over this share before its end the resistance rises to the end. */
const END_RISE = 0.05;

/**
 * Factor on all resistances at a share u of the run's charge and y of its heat:
 * f = (1 + g1 u - g2 4 u (1 - u) + g3 exp(-(1 - u) / 0.05)) exp(-g4 y).
 */
export function resistanceFactor(unknowns: Float64Array, u: number, y: number): number {
  return along(unknowns, u) * exp(-(unknowns[SHAPE + 3] as number) * y);
}

const along = (unknowns: Float64Array, u: number, endRise = endRiseAt(u)): number =>
  1 +
  (unknowns[SHAPE] as number) * u -
  (unknowns[SHAPE + 1] as number) * 4 * u * (1 - u) +
  (unknowns[SHAPE + 2] as number) * endRise;

/** exp(-(1 - u) / 0.05): how far the resistance has risen toward its end at a share u of the run's charge. */
export const endRiseAt = (u: number): number => exp((u - 1) / END_RISE);

/** Open-circuit volts of a cell at a share u of the run's charge, its surface charge included. */
export function openCircuitVolts(unknowns: Float64Array, curve: OpenCircuitCurve, u: number): number {
  let volts = curve(1 - (unknowns[STRETCH] as number) * u).volts;
  const bends = bendsAt(u);
  for (let m = 0; m < BENDS.length; m++) volts += (unknowns[BEND + m] as number) * (bends[m] as number);
  return volts + (unknowns[SURFACE] as number) * exp(-u / (unknowns[SURFACE_FADE] as number));
}

/** phi_m(u) of every bend at a share u of the run's charge. */
export function bendsAt(u: number): Float64Array {
  const bends = new Float64Array(BENDS.length);
  for (let m = 0; m < bends.length; m++) {
    const { 0: place, 1: width } = BENDS[m] as readonly [number, number];
    const distance = (u - place) / width;
    bends[m] = -0.5 * distance * distance;
  }
  expEach(bends);
  return bends;
}

/** Resistance after 1 s under load at the start of a run, ohm of a cell. */
export function earlyOhmOf(unknowns: Float64Array): number {
  return LAGS_S.reduce((sum, tau, j) => sum + (unknowns[j + 1] as number) * (1 - exp(-1 / tau)), unknowns[0] as number);
}

/** What the voltage of a cell depends on at one place of its run. */
export interface CellState {
  readonly u: number;
  readonly y: number;
  /** The current, and the current through each lag, A. */
  readonly currents: Float64Array;
  /** `bendsAt` and `endRiseAt` of u, which no unknown changes. */
  readonly bends: Float64Array;
  readonly endRise: number;
}

/**
 * Volts of a cell, V = E(1 - k u) + sum(d_m phi_m(u)) + A exp(-u / w) - f(u, y) sum(r_j x_j).
 *
 * @param slopes receives the derivative by each unknown; not those by the bends, which are `bends`
 */
export function cellVolts(
  unknowns: Float64Array,
  curve: OpenCircuitCurve,
  { u, y, currents, bends, endRise }: CellState,
  slopes: Float64Array,
): number {
  let sag = 0;
  for (let j = 0; j < currents.length; j++) sag += (unknowns[j] as number) * (currents[j] as number);
  const warmth = exp(-(unknowns[SHAPE + 3] as number) * y);
  const factor = along(unknowns, u, endRise) * warmth;
  for (let j = 0; j < currents.length; j++) slopes[j] = -factor * (currents[j] as number);
  slopes[SHAPE] = -sag * warmth * u;
  slopes[SHAPE + 1] = sag * warmth * 4 * u * (1 - u);
  slopes[SHAPE + 2] = -sag * warmth * endRise;
  slopes[SHAPE + 3] = sag * factor * y;
  const { volts, slope } = curve(1 - (unknowns[STRETCH] as number) * u);
  let bent = volts;
  for (let m = 0; m < BENDS.length; m++) bent += (unknowns[BEND + m] as number) * (bends[m] as number);
  slopes[STRETCH] = -u * slope;
  const fade = unknowns[SURFACE_FADE] as number;
  const left = exp(-u / fade);
  slopes[SURFACE] = left;
  slopes[SURFACE_FADE] = ((unknowns[SURFACE] as number) * left * u) / (fade * fade);
  return bent + (unknowns[SURFACE] as number) * left - factor * sag;
}
