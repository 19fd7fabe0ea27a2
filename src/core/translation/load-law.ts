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
  if (typeof load === "number") return new Resistance(standardOhmPerCell(load));
  const { kind, value } = load;
  if (kind === "resistance") return new Resistance(value / series);
  return kind === "current" ? new Current(value) : new Power(value / series);
}

class Resistance implements LoadLaw {
  constructor(private readonly ohm: number) {}

  amps(open: number, ohm: number): number {
    return open / (this.ohm + ohm);
  }

  volts(amps: number): number {
    return amps * this.ohm;
  }
}

class Current implements LoadLaw {
  constructor(private readonly value: number) {}

  amps(): number {
    return this.value;
  }

  volts(amps: number, open: number, ohm: number): number {
    return open - ohm * amps;
  }
}

class Power implements LoadLaw {
  constructor(private readonly watts: number) {}

  amps(open: number, ohm: number): number {
    return (2 * this.watts) / (open + Math.sqrt(open * open - 4 * ohm * this.watts));
  }

  volts(amps: number): number {
    return this.watts / amps;
  }
}
