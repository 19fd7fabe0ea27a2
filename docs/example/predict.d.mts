import type { PackModel } from "../../src/core/use/model/pack-model.js";
import type { Use } from "../../src/core/use/use.js";

/** The pack at one instant of its use. */
export interface PredictedPoint {
  readonly timeS: number;
  readonly voltageV: number;
  readonly currentA: number;
  readonly temperatureC: number;
  readonly chargeMah: number;
}

/** Predicts a use of a pack from its model. */
export function predict(
  model: PackModel,
  use: Pick<Use, "steps" | "repeats" | "startC" | "ambientC">,
  endVolts: number,
  h?: number,
): PredictedPoint[];
