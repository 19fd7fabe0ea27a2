import { standardOhmPerCell } from "./standard-loads.js";

export const CHOSEN_LOAD_KINDS = ["current", "power", "resistance"] as const;

/** A load of a reader's choice on the whole pack: a constant current (A), power (W) or resistance (ohm). */
export interface ChosenLoad {
  readonly kind: (typeof CHOSEN_LOAD_KINDS)[number];
  readonly value: number;
}

/** What a run is translated to: a standard load, A, or a load of a reader's choice. */
export type TranslationLoad = number | ChosenLoad;

/** What a load does to one cell with the voltage `open` behind the resistance `ohm`. */
export interface LoadLaw {
  /** Current, A; NaN where the cell cannot give what the load asks for. */
  readonly amps: (open: number, ohm: number) => number;
  /** Voltage under the load at a current, V. */
  readonly volts: (amps: number, open: number, ohm: number) => number;
}

/**
 * The law of a load for one of `series` cells. A constant power P meets the smaller root of P = (U - r I) I; there is none where
 * P > U^2 / 4 r, the most that a source can give (maximum power transfer, derived).
 */
export function loadLaw(load: TranslationLoad, series: number): LoadLaw {
  if (typeof load === "number") return resistance(standardOhmPerCell(load));
  const { kind, value } = load;
  if (kind === "resistance") return resistance(value / series);
  if (kind === "current") return { amps: () => value, volts: (amps, open, ohm) => open - ohm * amps };
  const watts = value / series;
  return {
    amps: (open, ohm) => (2 * watts) / (open + Math.sqrt(open * open - 4 * ohm * watts)),
    volts: (amps) => watts / amps,
  };
}

const resistance = (loadOhm: number): LoadLaw => ({
  amps: (open, ohm) => open / (loadOhm + ohm),
  volts: (amps) => amps * loadOhm,
});
