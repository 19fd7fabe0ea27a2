import { combining, type FigureFormula } from "./formula.js";

/** Capacity delivered, mAh: the integral of the current. 1 mAh = 3.6 C. */
export const CAPACITY: FigureFormula = {
  key: "capacity",
  unit: "mAh",
  growsWithRun: true,
  from: combining(["charge"], ([chargeAh = Number.NaN]) => chargeAh * 1000),
};

/** Energy delivered, Wh: the integral of V x I. 1 Wh = 3600 J. */
export const ENERGY: FigureFormula = {
  key: "energy",
  unit: "Wh",
  growsWithRun: true,
  from: combining(["energy"], ([energyWh = Number.NaN]) => energyWh),
};

/** Time from onset to the cutoff, s. */
export const RUNTIME: FigureFormula = {
  key: "runtime",
  unit: "s",
  growsWithRun: true,
  from: combining(["end"], ([endS = Number.NaN]) => endS),
};

/** Mean current from onset to the end of reading, A. */
export const CURRENT_MEAN: FigureFormula = {
  key: "current-mean",
  unit: "A",
  from: combining(["charge", "end"], ([chargeAh = Number.NaN, endS = 0]) =>
    endS > 0 ? (chargeAh * 3600) / endS : null,
  ),
};

/** Energy delivered per mass of the pack, Wh/kg. */
export const SPECIFIC_ENERGY: FigureFormula = {
  key: "specific-energy",
  unit: "Wh/kg",
  growsWithRun: true,
  from: combining(["energy"], ([energyWh = Number.NaN], pack) =>
    pack.massGrams ? energyWh / (pack.massGrams / 1000) : null,
  ),
};

/** Power at 10 s per mass of the pack, W/kg. */
export const SPECIFIC_POWER_10S: FigureFormula = {
  key: "specific-power-10s",
  unit: "W/kg",
  atInstant: true,
  from: combining(["power-10s"], ([watts = Number.NaN], pack) =>
    pack.massGrams ? watts / (pack.massGrams / 1000) : null,
  ),
};

/** Capacity delivered as a share of the rated capacity. */
export const CAPACITY_SHARE: FigureFormula = {
  key: "capacity-share",
  unit: "ratio",
  growsWithRun: true,
  ownLoadOnly: true,
  from: combining(["charge"], ([chargeAh = Number.NaN], pack) => (chargeAh * 1000) / pack.ratedCapacityMah),
};
