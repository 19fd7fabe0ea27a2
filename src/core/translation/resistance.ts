/**
 * The resistance behind a pack's source voltage. It grows with the logarithm of the time under load, as diffusion and
 * spread time constants show over a few decades of time, and falls as the pack warms with the heat of the current:
 * R(t, h) = (R_1 + b ln t) (1 - w h), t in s and within 0.5 to 60, h the integral of I over the charge drawn.
 */
export interface SourceResistance {
  /** R_1, at 1 s, ohm. */
  readonly earlyOhm: number;
  /** b, ohm. */
  readonly growthOhm: number;
  /** w, 1 / (A^2 s). */
  readonly fallPerHeat: number;
}

/** The growth is followed between these times; before and after, the resistance keeps its value (common practice). */
const GROWS_FROM_S = 0.5;
const GROWS_UNTIL_S = 60;

/** ln of a time under load in s, held within the span over which the resistance grows. */
export function growthAt(seconds: number): number {
  if (seconds >= GROWS_UNTIL_S) return LAST_GROWTH;
  return Math.log(Math.max(seconds, GROWS_FROM_S));
}

const LAST_GROWTH = Math.log(GROWS_UNTIL_S);

/** Resistance after `seconds` under load and `heat` A^2 s of it, ohm. */
export function resistanceAt({ earlyOhm, growthOhm, fallPerHeat }: SourceResistance, seconds: number, heat: number) {
  return (earlyOhm + growthOhm * growthAt(seconds)) * (1 - fallPerHeat * heat);
}
