import { exp } from "../numerics/library.js";

/**
 * Time constants of the relaxations behind a cell, s. They are fixed, and near enough to each other that together they stand for
 * any relaxation of a run.
 */
export const LAGS_S = [0.7, 3, 12, 45, 180] as const;

/** Below this share of a time constant, the difference of nearly equal numbers gives way to its series. */
const SHORT = 1e-4;

/**
 * One step of a first-order lag x' = (I - x) / tau under a current that goes linearly from I0 to I1 within a time h:
 * x1 = I1 - s tau + (x0 - I0 + s tau) exp(-h / tau), s = (I1 - I0) / h. Written as x1 = kept x0 + before I0 + after I1.
 *
 * @param seconds h, not negative
 * @param into receives kept, before and after; so that no object is made for each sample
 */
export function lagStep(seconds: number, tau: number, into: Float64Array): void {
  const share = seconds / tau;
  writeStep(share, exp(-share), into, 0);
}

/**
 * The same for all lags, whose numbers stand one after the other.
 *
 * @param shares h / tau of each
 * @param kept exp(-h / tau) of each
 */
export function lagSteps(shares: Float64Array, kept: Float64Array, into: Float64Array): void {
  for (let j = 0; j < shares.length; j++) writeStep(shares[j] as number, kept[j] as number, into, 3 * j);
}

function writeStep(share: number, kept: number, into: Float64Array, at: number): void {
  const averaged = share < SHORT ? 1 - share / 2 + (share * share) / 6 : (1 - kept) / share;
  into[at] = kept;
  into[at + 1] = averaged - kept;
  into[at + 2] = 1 - averaged;
}
