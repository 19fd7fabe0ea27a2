import { exp } from "../../numerics/library.js";
import { type ModelDirection, type PackModel, TABLE_INTERVALS } from "./pack-model.js";
import { type CellHeat, heatOf } from "./run-heat.js";
import { factorTable } from "./tables.js";
import { SOURCE_SPLINE } from "./unknowns.js";

/** One cell as a use is followed through it: a model's numbers, or these perturbed by an uncertainty. */
export interface Cell {
  readonly chargeAs: number;
  readonly sourceVolts: Float64Array;
  readonly factor: Float64Array;
  readonly seriesOhm: number;
  readonly seriesSlopeK: number;
  readonly relaxationSeconds: Float64Array;
  readonly relaxationOhm: Float64Array;
  readonly relaxationSlopeK: number;
  readonly heat: CellHeat;
}

/** The cell of a pack whose capacity and resistance are scaled against the mean. */
export function cellOf(model: PackModel, capacity = 1, resistance = 1): Cell {
  return {
    chargeAs: 3600 * model.chargeAh * capacity,
    sourceVolts: Float64Array.from(model.sourceVolts),
    factor: Float64Array.from(model.resistanceFactor),
    seriesOhm: model.seriesOhm * resistance,
    seriesSlopeK: model.seriesSlopeK,
    relaxationSeconds: Float64Array.from(model.relaxations, ({ seconds }) => seconds),
    relaxationOhm: Float64Array.from(model.relaxations, ({ ohm }) => ohm * resistance),
    relaxationSlopeK: model.relaxationSlopeK,
    heat: model.heat,
  };
}

/** The same cell, capacity and resistance times a factor. */
export const scaledCell = (cell: Cell, capacity: number, resistance: number): Cell => ({
  ...cell,
  chargeAs: cell.chargeAs * capacity,
  seriesOhm: cell.seriesOhm * resistance,
  relaxationOhm: cell.relaxationOhm.map((ohm) => ohm * resistance),
});

/** The same cell, perturbed along one of its model's directions by `steps` standard uncertainties. */
export function perturbedCell(
  cell: Cell,
  { sourceVolts, lnOhm, lnFactor, ...slopes }: ModelDirection,
  steps: number,
): Cell {
  const by = SOURCE_SPLINE.table(sourceVolts, TABLE_INTERVALS);
  const factor = factorTable(lnFactor.map((value) => value * steps));
  const ohm = (j: number) => exp((lnOhm[j] as number) * steps);
  return {
    ...cell,
    sourceVolts: cell.sourceVolts.map((volts, n) => volts + steps * (by[n] as number)),
    factor: cell.factor.map((value, n) => value * (factor[n] as number)),
    seriesOhm: cell.seriesOhm * ohm(0),
    relaxationOhm: cell.relaxationOhm.map((value, j) => value * ohm(j + 1)),
    seriesSlopeK: cell.seriesSlopeK + steps * slopes.seriesSlopeK,
    relaxationSlopeK: cell.relaxationSlopeK + steps * slopes.relaxationSlopeK,
  };
}

/** The same cell with another heat balance: factors on heat capacity, on the time to the skin and on that to the air. */
export function heatedCell(cell: Cell, joule: number, skin: number, air: number): Cell {
  const { coreJoulePerKelvin, skinJoulePerKelvin, coreToSkinWattPerKelvin, skinToAirWattPerKelvin } = cell.heat;
  const whole = coreJoulePerKelvin + skinJoulePerKelvin;
  return {
    ...cell,
    heat: heatOf(
      whole * joule,
      (skinJoulePerKelvin / coreToSkinWattPerKelvin) * skin,
      (whole / skinToAirWattPerKelvin) * air,
    ),
  };
}
