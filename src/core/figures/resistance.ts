import { combining, type FigureFormula } from "./formula.js";
import type { ReadingKey } from "./reading.js";

type ResistanceName = "1s" | "10s" | "two-pulse";
type Fall = (values: number[]) => { volts: number; amps: number };

/** Resistance of the pack, of one cell, and of one cell times It: the fall per cell at 1 It, which compares packs of any size. */
function resistances(name: ResistanceName, keys: readonly ReadingKey[], fall: Fall): FigureFormula[] {
  const ohm = (values: number[]): number | null => {
    const { volts, amps } = fall(values);
    return amps > 0 ? volts / amps : null;
  };
  const scaled = (key: string, unit: string, factor: (cells: number, itA: number) => number): FigureFormula => ({
    key,
    unit,
    ownLoadOnly: key.endsWith("times-it"),
    from: combining(keys, (values, pack) => {
      const found = ohm(values);
      return found === null ? null : found * factor(pack.series, pack.ratedCapacityMah / 1000);
    }),
  });
  return [
    scaled(`resistance-${name}`, "mohm", () => 1000),
    scaled(`resistance-${name}-per-cell`, "mohm", (cells) => 1000 / cells),
    scaled(`resistance-${name}-times-it`, "V", (cells, itA) => itA / cells),
  ];
}

/**
 * Resistance at onset: the fall of the voltage from rest to tau seconds of load, by the current then,
 * (V0 - V(tau)) / I(tau). It holds the ohmic part, what of the slower processes has set in by then, and the fall of the
 * open-circuit voltage with the charge drawn until then.
 */
const atOnset = (mark: "1s" | "10s"): FigureFormula[] =>
  resistances(mark, ["rest-voltage", `voltage-${mark}`, `current-${mark}`], ([rest = 0, volts = 0, amps = 0]) => ({
    volts: rest - volts,
    amps,
  }));

/** Direct-current resistance from two pulses, (U1 - U2) / (I2 - I1) at their ends (IEC 61960-3; from memory). */
const TWO_PULSE = resistances(
  "two-pulse",
  ["first-pulse-voltage", "first-pulse-current", "second-pulse-voltage", "second-pulse-current"],
  ([u1 = 0, i1 = 0, u2 = 0, i2 = 0]) => ({ volts: u1 - u2, amps: i2 - i1 }),
);

export const RESISTANCES: readonly FigureFormula[] = [...atOnset("1s"), ...atOnset("10s"), ...TWO_PULSE];

/** Fall of the voltage per cell from rest to 10 s of load, V. */
export const SAG_10S: FigureFormula = {
  key: "sag-10s",
  unit: "V",
  from: combining(["rest-voltage", "voltage-10s"], ([rest = 0, volts = 0], pack) => (rest - volts) / pack.series),
};
