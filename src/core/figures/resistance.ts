import { combining, type FigureFormula } from "./formula.js";

/**
 * Resistance of the pack at onset, mohm: the fall of the voltage from rest to tau seconds of load, by the current then,
 * (V0 - V(tau)) / I(tau). It holds the ohmic part, what of the slower processes has set in by then, and the fall of the
 * open-circuit voltage with the charge drawn until then.
 */
const atOnset = (mark: "1s" | "10s"): FigureFormula => ({
  key: `resistance-${mark}`,
  unit: "mohm",
  from: combining(["rest-voltage", `voltage-${mark}`, `current-${mark}`], ([rest = 0, volts = 0, amps = 0]) =>
    amps > 0 ? (1000 * (rest - volts)) / amps : null,
  ),
});

export const RESISTANCE_1S = atOnset("1s");
export const RESISTANCE_10S = atOnset("10s");

/** Fall of the voltage per cell from rest to 10 s of load, V. */
export const SAG_10S: FigureFormula = {
  key: "sag-10s",
  unit: "V",
  from: combining(["rest-voltage", "voltage-10s"], ([rest = 0, volts = 0], pack) => (rest - volts) / pack.series),
};
