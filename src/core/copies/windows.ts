import type { Trace } from "../model.js";
import { loadedStretch, RESIDUAL_CHANNELS, type ResidualChannel } from "./residual.js";
import { sampleWindows, UNITS, unitsOf } from "./sample-windows.js";
import { SCALES_S, scalesOf, smoothedWindows } from "./smoothed-windows.js";
import { POINTS_PER_SCALE, POINTS_PER_UNIT, type Windows } from "./window-shape.js";

export interface WindowsOfKind extends Windows {
  /** Which kind of residual: the scales first, then the units. */
  readonly kind: number;
  /** Index among `RESIDUAL_CHANNELS`. */
  readonly channel: number;
}

/** Between two points of a kind, s. */
export const pointSeconds = (kind: number): number =>
  kind < SCALES_S.length
    ? (SCALES_S[kind] as number) / POINTS_PER_SCALE
    : (UNITS[kind - SCALES_S.length]?.unitS as number) / POINTS_PER_UNIT;

/**
 * All windows of a trace. Smoothed residuals stay the same under resampling by interpolation or means; single samples, a unit of
 * time apart, stay the same when others between them are left out. Both are taken in the two finest ways that the
 * sampling and the length of the trace allow. A gain, an offset, another unit or time origin hardly change either, and two
 * runs share none of their noise.
 */
export function windowsOf(trace: Trace): WindowsOfKind[] {
  const stretch = loadedStretch(trace);
  const scales = scalesOf(stretch).map((scale) => ({
    kind: SCALES_S.indexOf(scale),
    at: (channel: ResidualChannel) => smoothedWindows(trace, stretch, channel, scale),
  }));
  const units = unitsOf(stretch).map((unit) => ({
    kind: SCALES_S.length + UNITS.indexOf(unit),
    at: (channel: ResidualChannel) => sampleWindows(trace, stretch, channel, unit),
  }));
  return RESIDUAL_CHANNELS.flatMap((name, channel) =>
    [...scales, ...units].flatMap(({ kind, at }) => {
      const windows = at(name);
      return windows ? [{ ...windows, kind, channel }] : [];
    }),
  );
}
