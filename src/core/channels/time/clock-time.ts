import type { ClocksSeen } from "../../table/cells/time-cells.js";
import { type Unit } from "../../units/units.js";

const DAY_S = 86_400;
const HOUR_S = 3600;
const HOURS_OF_A_DAY = 24;

/** How the readings of a clock column are meant. */
export interface ClockReading {
  /** s that one unit of the readings is. */
  readonly factor: number;
  /** After so many s the clock begins again at zero. */
  readonly periodS: number;
}

/**
 * How the readings of a clock are meant. Those of three parts are h:m:s. Those of two are m:s when the column says so, has
 * three parts elsewhere, a fraction, or a first part that no hour has; h:m when the column says so; else null: m:s
 * once a second and h:m once a minute look alike.
 */
export function clockReading(clocks: ClocksSeen, unit: Unit | null): ClockReading | null {
  if (clocks.twoParts === 0) return { factor: 1, periodS: DAY_S };
  if (unit?.symbol === "h:m") return { factor: unit.factor, periodS: DAY_S };
  const isMinutes = clocks.threeParts + clocks.fractions > 0 || clocks.largestFirst >= HOURS_OF_A_DAY;
  if (unit?.symbol !== "m:s" && !isMinutes) return null;
  return { factor: 1, periodS: clocks.threeParts > 0 ? DAY_S : HOUR_S };
}

/** Makes a clock that begins again go on, in place; says how often it did. A step back of less than half its period is left as it is. */
export function unroll(seconds: Float64Array, periodS: number): number {
  let turns = 0;
  let before = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < seconds.length; i++) {
    const reading = seconds[i] as number;
    if (before - reading > periodS / 2) turns++;
    before = reading;
    seconds[i] = reading + turns * periodS;
  }
  return turns;
}
