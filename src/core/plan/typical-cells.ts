import type { Chemistry } from "../model.js";

/** What a healthy cell of a chemistry is like, as far as a test is planned by it before anything was measured. */
export interface TypicalCell {
  /** Resistance after some seconds times rated capacity, ohm Ah: cells of one kind differ in size more than in this. */
  readonly ohmAh: number;
  /** A load that packs made for models usually take to the cutoff, as a multiple of It. */
  readonly usualIt: number;
  /** A load that they surely sustain, with which a ladder begins, as a multiple of It. */
  readonly easyIt: number;
  /** Energy per mass of a pack, Wh/kg. */
  readonly wattHoursPerKg: number;
}

/** Common practice, no published source: magnitudes for planning, never for a figure. */
export const TYPICAL_CELLS: Readonly<Record<Chemistry, TypicalCell>> = {
  lipo: { ohmAh: 0.01, usualIt: 20, easyIt: 8, wattHoursPerKg: 150 },
  lihv: { ohmAh: 0.01, usualIt: 20, easyIt: 8, wattHoursPerKg: 155 },
  liion: { ohmAh: 0.06, usualIt: 3, easyIt: 1.5, wattHoursPerKg: 210 },
  lifepo4: { ohmAh: 0.025, usualIt: 8, easyIt: 3, wattHoursPerKg: 100 },
};

/** Heat that warms a gram of a pack by a kelvin, J (common practice: 0.9 to 1.1 for cells of every kind here). */
export const JOULES_PER_GRAM_KELVIN = 1;
