import type { PackModel } from "../../core/use/model/pack-model.js";
import type { Whose } from "../../core/use/passes.js";
import { type Prediction, predictUse } from "../../core/use/predict.js";
import type { Use } from "../../core/use/use.js";

export interface PredictTask {
  readonly use: Use;
  readonly packs: readonly { readonly model: PackModel; readonly whose: Whose }[];
}

/** Predicts one use of several packs, in their order. */
export const predictAll = ({ use, packs }: PredictTask): Prediction[] =>
  packs.map(({ model, whose }) => predictUse(model, use, whose));
