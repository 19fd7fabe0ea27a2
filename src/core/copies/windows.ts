import type { Trace } from "../model.js";
import { times } from "../numerics/each-value.js";
import { bitReliability } from "./bit-reliability.js";
import { loadCourse } from "./load-course.js";
import { loadedStretch, RESIDUAL_CHANNELS, type ResidualChannel } from "./residual.js";
import { sampleWindows, UNITS, unitsOf } from "./sample-windows.js";
import {
  COURSE_SCALES_S,
  courseScalesOf,
  courseWindows,
  SCALES_S,
  scalesOf,
  smoothedWindows,
} from "./smoothed-windows.js";
import { POINTS_PER_SCALE, POINTS_PER_UNIT, type Windows } from "./window-shape.js";

export interface WindowsOfKind extends Windows {
  readonly kind: number;
  /** Index among `RESIDUAL_CHANNELS`; 0 for what a load does by itself. */
  readonly channel: number;
  /** `bitReliability` of each offset. */
  readonly reliability: Float64Array;
}

const ofKind = (windows: Windows, kind: number, channel: number): WindowsOfKind => {
  return { ...windows, kind, channel, reliability: bitReliability(windows.values) };
};

/** Kinds are numbered: the scales first, then the units, then the scales of what a load does by itself. */
export const FIRST_UNIT = SCALES_S.length;
export const FIRST_COURSE = FIRST_UNIT + UNITS.length;

/** Between two points of a kind, s. */
export function pointSeconds(kind: number): number {
  if (kind < FIRST_UNIT) return (SCALES_S[kind] as number) / POINTS_PER_SCALE;
  if (kind < FIRST_COURSE) return (UNITS[kind - FIRST_UNIT]?.unitS as number) / POINTS_PER_UNIT;
  return (COURSE_SCALES_S[kind - FIRST_COURSE] as number) / POINTS_PER_SCALE;
}

/** Windows of what a load does by itself, with the trace's clock slower by `clock`. */
export function courseWindowsOf(trace: Trace, clock = 1): WindowsOfKind[] {
  const { fromS, toS, stepS } = loadedStretch(trace);
  const slowed = { fromS: clock * fromS, toS: clock * toS, stepS: clock * stepS };
  const time = clock === 1 ? trace.time : times(trace.time, clock);
  const course = loadCourse(trace);
  return courseScalesOf(slowed).flatMap((scale) => {
    const windows = courseWindows(time, course, slowed, scale);
    return windows ? [ofKind(windows, FIRST_COURSE + COURSE_SCALES_S.indexOf(scale), 0)] : [];
  });
}

/**
 * All windows of a trace's channels. Smoothed residuals stay the same under resampling by interpolation or means; single samples, a unit of
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
    kind: FIRST_UNIT + UNITS.indexOf(unit),
    at: (channel: ResidualChannel) => sampleWindows(trace, stretch, channel, unit),
  }));
  return RESIDUAL_CHANNELS.flatMap((name, channel) =>
    [...scales, ...units].flatMap(({ kind, at }) => {
      const windows = at(name);
      return windows ? [ofKind(windows, kind, channel)] : [];
    }),
  );
}
