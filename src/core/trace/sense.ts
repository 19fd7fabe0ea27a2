import type { Sense } from "../model.js";
import { pow } from "../numerics/library.js";
import { square } from "../numerics/square.js";

/** Resistivity of annealed copper at 20 degC, ohm mm2/m (IEC 60028: 58 MS/m). */
export const COPPER_OHM_MM2_PER_M = 1 / 58;

/** Diameter of a solid round conductor in mm by its American wire gauge (ASTM B258; formula from memory). */
export function diameterOfGaugeMm(gaugeAwg: number): number {
  return 0.127 * pow(92, (36 - gaugeAwg) / 39);
}

/** Resistance in ohm of one solid copper conductor at 20 degC. Stranded wire of one gauge has some per cent more. */
export function conductorResistanceOhm(gaugeAwg: number, lengthMm: number): number {
  const areaMm2 = (Math.PI * square(diameterOfGaugeMm(gaugeAwg))) / 4;
  return (COPPER_OHM_MM2_PER_M * (lengthMm / 1000)) / areaMm2;
}

/**
 * Resistance between the pack's terminals and the point where voltage is sensed, ohm: the declared one, else that of both
 * leads by gauge and length; null when the voltage is sensed past leads of which nothing is known.
 */
export function senseResistanceOhm(sense: Sense): number | null {
  if (sense.point === "pack") return 0;
  if (sense.resistanceMilliohm != null) return sense.resistanceMilliohm / 1000;
  if (sense.gaugeAwg == null || sense.lengthMm == null) return null;
  return 2 * conductorResistanceOhm(sense.gaugeAwg, sense.lengthMm);
}
