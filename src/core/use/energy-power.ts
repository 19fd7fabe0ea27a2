import { exp, log } from "../numerics/library.js";
import { preferredNumbers } from "../numerics/preferred-numbers.js";
import type { PackModel } from "./model/pack-model.js";
import type { Whose } from "./perturbed-passes.js";
import { predictUse } from "./predict.js";
import { MAX_USE_S, type Use } from "./use.js";
import { currentReach, type NeededRun } from "./validity.js";

/** What a pack delivers at one steady power, from full to the cutoff or the limit of its temperature; with standard uncertainties. */
export interface EnergyAtPower {
  readonly powerW: number;
  readonly timeS: number;
  readonly timeUncertainty: number;
  readonly energyWh: number;
  readonly energyUncertainty: number;
  /** Whether it is at least so much: the runs do not tell how much more, or the pack becomes too hot before. */
  readonly isLowerBound: boolean;
  /** Why it ends: the cutoff, more power than the pack can give, or its temperature; null of a lower bound. */
  readonly ends: "voltage" | "power" | "temperature" | null;
}

/** Under what a pack is discharged. */
export type SteadyConditions = Pick<Use, "startC" | "ambientC" | "cutoffVoltsPerCell" | "temperatureLimitC">;

/** A use lasts so much longer than the charge could at the power, so that its end is met. */
const LONGER = 1.3;

/** Steady powers that the model of a pack reaches, W. */
export interface PowerReach {
  readonly lowestW: number;
  readonly highestW: number;
}

/** The powers whose currents are within reach of a pack's model from full to the cutoff, and that empty it within the time that a use may last. */
export function powerReach(model: PackModel, { cutoffVoltsPerCell }: SteadyConditions): PowerReach {
  const { lowestMeanA, highestMeanA, highestPeakA } = currentReach(model);
  const fullV = model.series * (model.sourceVolts[0] as number);
  // A current grows as the voltage falls: of the lowest power the first current is within reach, of the highest the last.
  const highestW = Math.min(highestMeanA, highestPeakA) * model.series * cutoffVoltsPerCell;
  const slowestA = (LONGER * model.chargeAh * 3600) / MAX_USE_S;
  return { lowestW: Math.max(lowestMeanA, slowestA) * fullV, highestW };
}

/** `count` powers, spread evenly by their logarithm over what a model reaches, W. */
export function evenPowers({ lowestW, highestW }: PowerReach, count: number): number[] {
  const step = count > 1 ? log(highestW / lowestW) / (count - 1) : 0;
  return Array.from({ length: count }, (_, n) => lowestW * exp(n * step));
}

/** Round powers that a model reaches, W, the same for every pack: preferred numbers of the series R10, 26 % apart. */
export const roundPowers = ({ lowestW, highestW }: PowerReach): number[] => preferredNumbers(lowestW, highestW);

/** What a pack delivers at some powers. */
export interface EnergyAtPowers {
  /** Those of them that the model says anything of. */
  readonly points: readonly EnergyAtPower[];
  /** Runs that would let more be said of the others, and of lower bounds: one for each reason. */
  readonly needed: readonly NeededRun[];
}

/**
 * Energy and time at steady powers: the Ragone chart of a pack.
 *
 * Source: the chart is D. V. Ragone's, SAE paper 680453 (1968), from memory.
 *
 * @param powers W, in the order of the answer
 */
export function energyAtPowers(
  model: PackModel,
  whose: Whose,
  conditions: SteadyConditions,
  powers: readonly number[],
): EnergyAtPowers {
  const found = powers.map((powerW) => atPower(model, whose, conditions, powerW));
  const reasons = new Map(found.flatMap(({ needed }) => needed).map((one) => [one.reason, one]));
  return { points: found.flatMap(({ point }) => point ?? []), needed: [...reasons.values()] };
}

function atPower(
  model: PackModel,
  whose: Whose,
  conditions: SteadyConditions,
  powerW: number,
): { readonly point: EnergyAtPower | null; readonly needed: readonly NeededRun[] } {
  const fullV = model.series * (model.sourceVolts[0] as number);
  const seconds = Math.min(MAX_USE_S, (LONGER * model.chargeAh * 3600 * fullV) / powerW);
  const use: Use = { ...conditions, steps: [{ seconds, powerW }], repeats: 1, cycles: null, reserve: 0 };
  const { answered, lasts, limit, needed } = predictUse(model, use, whose);
  if (!answered || lasts === null) return { point: null, needed };
  const isHot = limit?.reason === "temperature";
  const end = isHot ? limit.at : lasts;
  if (end.value <= 0) return { point: null, needed };
  const isLowerBound = !isHot && lasts.isLowerBound;
  const point = {
    powerW,
    timeS: end.value,
    timeUncertainty: end.uncertainty,
    energyWh: (powerW * end.value) / 3600,
    energyUncertainty: (powerW * end.uncertainty) / 3600,
    isLowerBound,
    ends: isLowerBound || limit === null || limit.reason === "reserve" ? null : limit.reason,
  };
  return { point, needed: isLowerBound ? needed : [] };
}
