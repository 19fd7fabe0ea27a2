import { exp, log } from "../numerics/library.js";
import type { PackModel } from "./model/pack-model.js";
import type { Whose } from "./passes.js";
import { predictUse } from "./predict.js";
import { MAX_USE_S, type Use } from "./use.js";
import { currentReach } from "./validity.js";

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

/**
 * Energy and time against steady power: the Ragone chart of a pack. Powers are spread evenly by their logarithm over the currents that its model
 * reaches; those that it says nothing of are left out.
 *
 * Source: the chart is D. V. Ragone's, SAE paper 680453 (1968), from memory.
 *
 * @param count how many powers
 */
export function energyAgainstPower(
  model: PackModel,
  whose: Whose,
  conditions: SteadyConditions,
  count: number,
): EnergyAtPower[] {
  const { lowestMeanA, highestMeanA, highestPeakA } = currentReach(model);
  const sourceV = model.series * (model.sourceVolts[model.sourceVolts.length >> 1] as number);
  const low = lowestMeanA * sourceV;
  // A current grows as the voltage falls: the highest power is that whose last current is still within reach.
  const high = Math.min(highestMeanA, highestPeakA) * model.series * conditions.cutoffVoltsPerCell;
  const step = count > 1 ? log(high / low) / (count - 1) : 0;
  return Array.from({ length: count }, (_, n) => low * exp(n * step)).flatMap(
    (powerW) => atPower(model, whose, conditions, powerW) ?? [],
  );
}

function atPower(model: PackModel, whose: Whose, conditions: SteadyConditions, powerW: number): EnergyAtPower | null {
  const fullV = model.series * (model.sourceVolts[0] as number);
  const seconds = Math.min(MAX_USE_S, (LONGER * model.chargeAh * 3600 * fullV) / powerW);
  const use: Use = { ...conditions, steps: [{ seconds, powerW }], repeats: 1, cycles: null, reserve: 0 };
  const { answered, lasts, limit } = predictUse(model, use, whose);
  if (!answered || lasts === null) return null;
  const isHot = limit?.reason === "temperature";
  const end = isHot ? limit.at : lasts;
  if (end.value <= 0) return null;
  const isLowerBound = !isHot && lasts.isLowerBound;
  return {
    powerW,
    timeS: end.value,
    timeUncertainty: end.uncertainty,
    energyWh: (powerW * end.value) / 3600,
    energyUncertainty: (powerW * end.uncertainty) / 3600,
    isLowerBound,
    ends: isLowerBound || limit === null || limit.reason === "reserve" ? null : limit.reason,
  };
}
