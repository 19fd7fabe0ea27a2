import { type EnergyAtPowers, energyAtPowers, type SteadyConditions } from "../../../core/use/energy-power.js";
import type { PackModel } from "../../../core/use/model/pack-model.js";
import type { Whose } from "../../../core/use/perturbed-passes.js";

export interface EnergyTask {
  readonly model: PackModel;
  readonly whose: Whose;
  readonly conditions: SteadyConditions;
  /** W. */
  readonly powers: readonly number[];
}

export const energyInThread = ({ model, whose, conditions, powers }: EnergyTask): EnergyAtPowers =>
  energyAtPowers(model, whose, conditions, powers);
