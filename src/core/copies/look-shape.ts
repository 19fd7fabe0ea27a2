/** Signs in a word. */
export const SIGNS = 25;

/** Points of a scale, and points of a unit to which the place of a sample is known. */
export const POINTS_PER_SCALE = 4;
export const POINTS_PER_UNIT = 20;

/** A channel's residual as words look at it: for each place, its values at the points of the word there. */
export interface Looks {
  /** Where each word begins, in points of the kind from the time origin of the trace. */
  readonly places: Int32Array;
  /** `SIGNS` values for each place, in robust standard deviations. */
  readonly values: Float64Array;
}
