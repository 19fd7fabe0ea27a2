import { type EnergyAtPower, energyAgainstPower, type SteadyConditions } from "../../../core/use/energy-power.js";
import type { PackModel } from "../../../core/use/model/pack-model.js";
import type { Whose } from "../../../core/use/passes.js";

export interface EnergyTask {
  readonly model: PackModel;
  readonly whose: Whose;
  readonly conditions: SteadyConditions;
  readonly count: number;
}

export const energyInThread = ({ model, whose, conditions, count }: EnergyTask): EnergyAtPower[] =>
  energyAgainstPower(model, whose, conditions, count);
