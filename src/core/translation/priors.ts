import type { Chemistry } from "../model.js";
import { BEND, BENDS, SERIES_OHM, SHAPE, STRETCH, SURFACE, SURFACE_FADE, UNKNOWNS } from "./cell-model.js";

/** What is known of an unknown before the run is looked at: a normal distribution. */
export interface Prior {
  readonly mean: number;
  readonly deviation: number;
}

export interface FitFrame {
  readonly chemistry: Chemistry;
  /** (V0 - V(1 s)) / I(1 s) of a cell, ohm. */
  readonly earlyOhm: number;
  readonly reachedCutoff: boolean;
}

/** Series resistance and that of each lag, over the resistance at 1 s. */
const RESISTANCES = [
  [0.78, 0.2],
  [0.1, 0.1],
  [0.13, 0.1],
  [0.17, 0.13],
  [0.2, 0.17],
  [0.2, 0.22],
] as const;
/** Of LiFePO4 a part of the fall in the first second is surface charge, and less is known. */
const PHOSPHATE_EARLY_SHARE = 0.75;
const PHOSPHATE_WIDENING = 1.5;
/** Tilt, bowl and end of the resistance over the charge, and its fall with the heat of the current. */
const SHAPES = [
  [0, 0.2],
  [0, 0.12],
  [0.3, 0.4],
  [0.25, 0.15],
] as const;
/** How far the open-circuit voltage may bend off its chemistry's curve, V: in one place, and as a whole. */
const BEND_V = 0.015;
const WHOLE_BEND_V: Readonly<Record<Chemistry, number>> = { lipo: 0.06, lihv: 0.06, liion: 0.08, lifepo4: 0.006 };
/** Bends wider than this share of the charge are of the curve as a whole. */
const WHOLE_WIDTH = 0.15;
/** Toward the end curves differ more. */
const WIDENED_FROM = [
  [0.95, 6],
  [0.85, 3],
] as const;
/** Share of the curve that a run to its cutoff spans, and one that ended early. */
const STRETCH_TO_CUTOFF = [0.955, 0.025] as const;
const STRETCH_ENDED_EARLY = [0.6, 0.3] as const;
/** Surface charge, V, and the share of the run's charge over which it fades. */
const SURFACE_V = [0, 0.012] as const;
const PHOSPHATE_SURFACE_V = [0.1, 0.25] as const;
const FADE = [0.03, 0.012] as const;

/**
 * Priors of all unknowns, in their order. Common practice, no published source: ranges that simulated packs of several forms and what is known
 * of cells suggest. docs/science.md says what they were tried on.
 */
export function priorsOf({ chemistry, earlyOhm, reachedCutoff }: FitFrame): Prior[] {
  const isPhosphate = chemistry === "lifepo4";
  const ohm = isPhosphate ? PHOSPHATE_EARLY_SHARE * earlyOhm : earlyOhm;
  const widening = isPhosphate ? PHOSPHATE_WIDENING : 1;
  const priors = new Array<Prior>(UNKNOWNS);
  const set = (i: number, [mean, deviation]: readonly [number, number]) => {
    priors[i] = { mean, deviation };
  };
  RESISTANCES.forEach(([mean, deviation], j) => {
    set(SERIES_OHM + j, [mean * ohm, widening * deviation * ohm]);
  });
  SHAPES.forEach((shape, j) => {
    set(SHAPE + j, shape);
  });
  BENDS.forEach(([place, width], m) => {
    const factor = WIDENED_FROM.find(([from]) => place >= from)?.[1] ?? 1;
    set(BEND + m, [0, width > WHOLE_WIDTH ? WHOLE_BEND_V[chemistry] : factor * BEND_V]);
  });
  set(STRETCH, reachedCutoff ? STRETCH_TO_CUTOFF : STRETCH_ENDED_EARLY);
  set(SURFACE, isPhosphate ? PHOSPHATE_SURFACE_V : SURFACE_V);
  set(SURFACE_FADE, FADE);
  return priors;
}
