import type { Chemistry } from "../../../src/core/model.js";
import { monotoneCurve } from "./interpolation.js";

/** V of one resting cell at the share of its charge that has been drawn; smooth below 0 and beyond 1 too. */
export type OpenCircuitCurve = (drawnShare: number) => number;

const { exp, tanh } = Math;

/**
 * Formulas: a slope, steps of the electrodes' phases as tanh, a lift near full and a knee near empty. All curves of this file are from
 * memory of how such cells look; no measured cell stands behind them.
 */
export const FORMULA_CURVES: Readonly<Record<Chemistry, OpenCircuitCurve>> = {
  lipo: (u) =>
    4.176 -
    0.329 * u -
    0.085 * (1 + tanh((u - 0.213) / 0.169)) +
    0.036 * exp(-u / 0.05) -
    0.476 * exp(-(1 - u) / 0.029),
  lihv: (u) =>
    4.379 - 0.412 * u - 0.144 * (1 + tanh((u - 0.2) / 0.268)) + 0.024 * exp(-u / 0.05) - 0.478 * exp(-(1 - u) / 0.028),
  liion: (u) =>
    4.164 - 0.754 * u - 0.029 * (1 + tanh((u - 0.229) / 0.116)) + 0.037 * exp(-u / 0.05) - 0.692 * exp(-(1 - u) / 0.04),
  lifepo4: (u) =>
    3.335 - 0.035 * u - 0.016 * (1 + tanh((u - 0.33) / 0.035)) + 0.03 * exp(-u / 0.012) - 0.72 * exp(-(1 - u) / 0.04),
};

const TABLES: Readonly<Record<Chemistry, readonly (readonly [number, number])[]>> = {
  lipo: [
    [0, 4.2],
    [0.04, 4.155],
    [0.1, 4.1],
    [0.2, 4.015],
    [0.3, 3.94],
    [0.4, 3.872],
    [0.5, 3.825],
    [0.6, 3.792],
    [0.7, 3.768],
    [0.8, 3.74],
    [0.87, 3.708],
    [0.92, 3.672],
    [0.96, 3.6],
    [0.985, 3.44],
    [1, 3.2],
  ],
  lihv: [
    [0, 4.35],
    [0.04, 4.3],
    [0.1, 4.235],
    [0.2, 4.13],
    [0.3, 4.04],
    [0.4, 3.955],
    [0.5, 3.885],
    [0.6, 3.832],
    [0.7, 3.79],
    [0.8, 3.75],
    [0.87, 3.715],
    [0.92, 3.675],
    [0.96, 3.6],
    [0.985, 3.43],
    [1, 3.18],
  ],
  liion: [
    [0, 4.19],
    [0.04, 4.13],
    [0.1, 4.075],
    [0.18, 4.02],
    [0.3, 3.905],
    [0.42, 3.79],
    [0.52, 3.685],
    [0.62, 3.615],
    [0.72, 3.54],
    [0.8, 3.455],
    [0.87, 3.36],
    [0.92, 3.25],
    [0.96, 3.08],
    [0.985, 2.86],
    [1, 2.6],
  ],
  lifepo4: [
    [0, 3.385],
    [0.01, 3.352],
    [0.04, 3.336],
    [0.15, 3.331],
    [0.27, 3.324],
    [0.35, 3.303],
    [0.5, 3.293],
    [0.62, 3.286],
    [0.72, 3.268],
    [0.8, 3.244],
    [0.87, 3.213],
    [0.92, 3.172],
    [0.96, 3.075],
    [0.985, 2.88],
    [1, 2.6],
  ],
};

/** Tables of points with a monotone cubic between them. */
export const TABLE_CURVES: Readonly<Record<Chemistry, OpenCircuitCurve>> = {
  lipo: monotoneCurve(TABLES.lipo),
  lihv: monotoneCurve(TABLES.lihv),
  liion: monotoneCurve(TABLES.liion),
  lifepo4: monotoneCurve(TABLES.lifepo4),
};

/** A curve tilted by `tiltVolts` from full to empty and bent by `bendVolts` to both sides of the middle. */
export function variedCurve(curve: OpenCircuitCurve, tiltVolts: number, bendVolts: number): OpenCircuitCurve {
  return (u) => curve(u) - tiltVolts * u + bendVolts * Math.sin(2 * Math.PI * Math.min(Math.max(u, 0), 1));
}
