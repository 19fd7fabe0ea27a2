import { hypot } from "../numerics/hypot.js";
import { exp, log } from "../numerics/library.js";
import type { Demand } from "./demand.js";
import { type Cell, cellOf, heatedCell, perturbedCell, scaledCell } from "./model/cell.js";
import type { PackModel } from "./model/pack-model.js";
import { AGE_CYCLES, WARMTH_K } from "./model/run-voltage.js";
import { REFERENCE_START_C } from "./model/unknowns.js";
import { type Pass, type PassLimits, simulateUse } from "./simulate-use.js";
import type { Use } from "./use.js";
import { currentsOf } from "./validity.js";

/** Whose pack a prediction is of: the mean of those tested, one that nobody has tested, or a specimen of known scales. */
export type Whose =
  | { readonly kind: "mean" }
  | { readonly kind: "unknown-specimen" }
  | { readonly kind: "specimen"; readonly capacity: number; readonly resistance: number };

/** A use followed through the pack as it is expected, and through packs that are off by one standard uncertainty each. */
export interface Passes {
  /** The pack as it is expected, at the use's age and temperature. */
  readonly expected: Pass;
  /** That with less capacity first. */
  readonly perturbed: readonly Pass[];
  /** Relative standard uncertainty of the capacity. */
  readonly capacityUncertainty: number;
  /** Logarithm of the largest mean current up to the end of a step over that of the hardest run; 0 where it is no more. */
  readonly beyond: number;
}

/** What a specimen's own runs leave open of its capacity and resistance, and repeats of them (common practice). */
const OWN_DEVIATION = { capacity: 0.005, resistance: 0.015 };

/** A use's age and start against those that the model's numbers are of: in 100 cycles and in 10 K. */
export interface Change {
  readonly age: number;
  readonly warmth: number;
}

const changeOf = ({ covariates }: PackModel, { cycles, startC }: Pick<Use, "cycles" | "startC">): Change => ({
  age: cycles == null || covariates.referenceCycles === null ? 0 : (cycles - covariates.referenceCycles) / AGE_CYCLES,
  warmth: (startC - REFERENCE_START_C) / WARMTH_K,
});

/** Relative standard uncertainties of capacity and resistance of the pack that a prediction is of, at its age and start (JCGM 100, 5.1.2). */
function uncertaintyFor(model: PackModel, whose: Whose, { age, warmth }: Change) {
  const { lnCapacityPer100Cycles, lnResistancePer100Cycles, lnCapacityPer10K } = model.covariates;
  const { capacity, resistance } = scaleUncertainty(model, whose);
  const byAge = (lnCapacityPer100Cycles?.uncertainty ?? 0) * age;
  const byWarmth = (lnCapacityPer10K?.uncertainty ?? 0) * warmth;
  return {
    capacity: hypot(capacity, byAge, byWarmth),
    resistance: hypot(resistance, (lnResistancePer100Cycles?.uncertainty ?? 0) * age),
  };
}

/** Relative standard uncertainties of capacity and resistance at the age and start that the model's numbers are of. */
export function scaleUncertainty(model: PackModel, whose: Whose): { capacity: number; resistance: number } {
  const { meanUncertainty, spread } = model;
  if (whose.kind === "specimen") return OWN_DEVIATION;
  if (whose.kind === "mean") return { ...meanUncertainty };
  return {
    capacity: hypot(meanUncertainty.capacity, spread.capacity),
    resistance: hypot(meanUncertainty.resistance, spread.resistance),
  };
}

/** The cell of that pack at the use's age and temperature, as far as the runs tell how these change it. */
function cellFor(model: PackModel, whose: Whose, { age, warmth }: Change): Cell {
  const { lnCapacityPer100Cycles, lnResistancePer100Cycles, lnCapacityPer10K } = model.covariates;
  const capacity = (lnCapacityPer100Cycles?.value ?? 0) * age + (lnCapacityPer10K?.value ?? 0) * warmth;
  const resistance = (lnResistancePer100Cycles?.value ?? 0) * age;
  const own = whose.kind === "specimen" ? whose : { capacity: 1, resistance: 1 };
  return cellOf(model, own.capacity * exp(capacity), own.resistance * exp(resistance));
}

/** Follows a use through the expected cell, and through those with capacity, resistance, the fit's directions and heat perturbed. */
export function followAll(model: PackModel, whose: Whose, demand: Demand, limits: PassLimits, use: Use): Passes {
  const { perturbed, ...passes } = followScales(model, whose, demand, limits, use);
  const kappa = model.validation?.kappa ?? 1;
  const others = cellsOffTheFit(model, passes.expected.cell, kappa).map((one) => simulateUse(one, demand, limits));
  return { ...passes, perturbed: [...perturbed, ...others] };
}

/** Cells with each of the fit's directions off by `steps` standard uncertainties, and with another heat balance. */
export function cellsOffTheFit({ directions, heatUncertainty }: PackModel, cell: Cell, steps = 1): Cell[] {
  const [joule = 0, skin = 0, air = 0] = heatUncertainty;
  return [
    ...directions.map((direction) => perturbedCell(cell, direction, steps)),
    heatedCell(cell, exp(-joule), 1, 1),
    heatedCell(cell, 1, exp(-skin), 1),
    heatedCell(cell, 1, 1, exp(air)),
  ];
}

/** The same with capacity and resistance alone perturbed, which move the end of a use most: a quarter of the work. */
export function followScales(model: PackModel, whose: Whose, demand: Demand, limits: PassLimits, use: Use): Passes {
  const change = changeOf(model, use);
  const cell = cellFor(model, whose, change);
  const uncertainty = uncertaintyFor(model, whose, change);
  const kappa = model.validation?.kappa ?? 1;
  const follow = (one: Cell) => simulateUse(one, demand, limits);
  const expected = follow(cell);
  const perturbed = worseCells(cell, uncertainty, kappa).map(follow);
  return {
    expected,
    perturbed,
    capacityUncertainty: kappa * uncertainty.capacity,
    beyond: beyondRuns(model, expected, demand, use.cutoffVoltsPerCell),
  };
}

/** A cell with less capacity, and one with more resistance, each off by `steps` relative standard uncertainties: as factors, so that neither turns negative. */
export const worseCells = (
  cell: Cell,
  { capacity, resistance }: { readonly capacity: number; readonly resistance: number },
  steps = 1,
): Cell[] => [scaledCell(cell, exp(-steps * capacity), 1), scaledCell(cell, 1, exp(steps * resistance))];

/** How far the mean current of a pass, up to the end of any step, lies beyond the hardest run's: the logarithm of their ratio, 0 where it is no more. */
export function beyondRuns({ range }: PackModel, pass: Pass, demand: Demand, cutoff: number): number {
  const { hardestA } = currentsOf(pass, demand, cutoff);
  return hardestA > range.meanA[1] ? log(hardestA / range.meanA[1]) : 0;
}
