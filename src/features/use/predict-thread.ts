import type { PackModel } from "../../core/use/model/pack-model.js";
import type { Whose } from "../../core/use/perturbed-passes.js";
import { type Prediction, predictUse } from "../../core/use/predict.js";
import type { Use } from "../../core/use/use.js";

export interface PredictTask {
  readonly model: PackModel;
  readonly use: Use;
  readonly whose: Whose;
}

export const predictInThread = ({ model, use, whose }: PredictTask): Prediction => predictUse(model, use, whose);
