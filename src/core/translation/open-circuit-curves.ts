import type { Chemistry } from "../model.js";

/**
 * Open-circuit volts of a typical cell of each chemistry, by the share of its charge that is left. They only say around which shape the
 * open-circuit voltage of a run is looked for: the fit bends them to the run. Common practice, no published source.
 */
const CURVES: Readonly<Record<Chemistry, readonly (readonly [left: number, volts: number])[]>> = {
  lipo: [
    [0, 3.27],
    [0.02, 3.44],
    [0.05, 3.6],
    [0.1, 3.68],
    [0.15, 3.71],
    [0.2, 3.735],
    [0.3, 3.77],
    [0.4, 3.8],
    [0.5, 3.84],
    [0.6, 3.885],
    [0.7, 3.945],
    [0.8, 4.02],
    [0.9, 4.105],
    [0.95, 4.15],
    [1, 4.2],
  ],
  lihv: [
    [0, 3.27],
    [0.02, 3.44],
    [0.05, 3.6],
    [0.1, 3.69],
    [0.15, 3.725],
    [0.2, 3.75],
    [0.3, 3.79],
    [0.4, 3.83],
    [0.5, 3.88],
    [0.6, 3.945],
    [0.7, 4.025],
    [0.8, 4.12],
    [0.9, 4.23],
    [0.95, 4.288],
    [1, 4.35],
  ],
  liion: [
    [0, 2.75],
    [0.02, 2.98],
    [0.05, 3.19],
    [0.1, 3.345],
    [0.15, 3.42],
    [0.2, 3.475],
    [0.3, 3.555],
    [0.4, 3.62],
    [0.5, 3.69],
    [0.6, 3.775],
    [0.7, 3.87],
    [0.8, 3.965],
    [0.9, 4.065],
    [0.95, 4.125],
    [1, 4.19],
  ],
  lifepo4: [
    [0, 2.55],
    [0.02, 2.84],
    [0.05, 3.06],
    [0.1, 3.19],
    [0.15, 3.22],
    [0.2, 3.24],
    [0.3, 3.265],
    [0.4, 3.285],
    [0.5, 3.295],
    [0.6, 3.305],
    [0.7, 3.32],
    [0.8, 3.33],
    [0.9, 3.335],
    [0.95, 3.342],
    [1, 3.37],
  ],
};

/** An open-circuit voltage with its slope over the share of charge left. */
export interface CurvePoint {
  readonly volts: number;
  readonly slope: number;
}

export type OpenCircuitCurve = (left: number) => CurvePoint;

/** A cubic over an interval, v0 + width s (m0 + s (bend + s twist)) at the share s of it. */
interface Cubic {
  readonly from: number;
  readonly to: number;
  readonly width: number;
  readonly v0: number;
  readonly m0: number;
  readonly bend: number;
  readonly twist: number;
}

/** The typical curve of a chemistry; smooth, and straight beyond a full and an empty cell. */
export const openCircuitCurve = (chemistry: Chemistry): OpenCircuitCurve => SMOOTH_CURVES[chemistry];

function smoothCurve(points: (typeof CURVES)[Chemistry]): OpenCircuitCurve {
  const left = points.map(([share]) => share);
  const volts = points.map(([, value]) => value);
  const slopes = monotoneSlopes(left, volts);
  const cubics = left.slice(1).map((to, i): Cubic => {
    const from = at(left, i);
    const [v0, m0, m1] = [at(volts, i), at(slopes, i), at(slopes, i + 1)];
    const width = to - from;
    const rise = (at(volts, i + 1) - v0) / width;
    return { from, to, width, v0, m0, bend: 3 * rise - 2 * m0 - m1, twist: m0 + m1 - 2 * rise };
  });
  const last = left.length - 1;
  return (share) => {
    if (share <= 0) return { volts: at(volts, 0) + share * at(slopes, 0), slope: at(slopes, 0) };
    if (share >= 1) return { volts: at(volts, last) + (share - 1) * at(slopes, last), slope: at(slopes, last) };
    let i = 0;
    while ((cubics[i] as Cubic).to <= share) i++;
    const { from, width, v0, m0, bend, twist } = cubics[i] as Cubic;
    const s = (share - from) / width;
    return { volts: v0 + width * s * (m0 + s * (bend + s * twist)), slope: m0 + s * (2 * bend + 3 * s * twist) };
  };
}

const at = (values: readonly number[], i: number): number => values[i] as number;

/**
 * Slopes at the points that keep a piecewise cubic monotone: the weighted harmonic mean of the slopes on both sides.
 *
 * Source: F. N. Fritsch, J. Butland, SIAM J. Sci. Stat. Comput. 5 (1984) 300-304 (from memory).
 */
function monotoneSlopes(x: readonly number[], y: readonly number[]): number[] {
  const widths = x.slice(1).map((value, i) => value - at(x, i));
  const rises = y.slice(1).map((value, i) => (value - at(y, i)) / at(widths, i));
  const last = rises.length - 1;
  return x.map((_, i) => {
    if (i === 0) return at(rises, 0);
    if (i > last) return at(rises, last);
    const [before, after] = [at(rises, i - 1), at(rises, i)];
    if (before * after <= 0) return 0;
    const [h0, h1] = [at(widths, i - 1), at(widths, i)];
    const weight = (h0 + 2 * h1) / (3 * (h0 + h1));
    return (before * after) / (weight * after + (1 - weight) * before);
  });
}

const SMOOTH_CURVES: Readonly<Record<Chemistry, OpenCircuitCurve>> = {
  lipo: smoothCurve(CURVES.lipo),
  lihv: smoothCurve(CURVES.lihv),
  liion: smoothCurve(CURVES.liion),
  lifepo4: smoothCurve(CURVES.lifepo4),
};
