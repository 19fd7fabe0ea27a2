/** Bits of a hash: signs of the residual. */
export const BITS = 25;

/** Points of a scale, and points of a unit to which the offset of a sample is known. */
export const POINTS_PER_SCALE = 4;
export const POINTS_PER_UNIT = 20;

/** Points from one bit of a hash to the next, in the mean, where it is of smoothed residuals; of samples it is a unit. */
export const SCALE_POINTS_PER_BIT = 6;

/** A channel's residual in windows: for each offset, its values at the points of the hash that begins there. */
export interface Windows {
  /** Where each hash begins, in points of the kind from the time origin of the trace. */
  readonly offsets: Int32Array;
  /** `BITS` values for each offset, in robust standard deviations. */
  readonly values: Float64Array;
}
