import { LRUCache } from "lru-cache";
import type { PackModel } from "../../../core/use/model/pack-model.js";
import type { Whose } from "../../../core/use/perturbed-passes.js";
import { demandFor } from "../../../core/use/predict.js";
import { type Judgement, judgeUse } from "../../../core/use/select.js";
import type { Use } from "../../../core/use/use.js";

/** A stored model as its JSON text in memory that all threads share. */
export interface SharedModel {
  readonly packId: string;
  readonly revision: string;
  readonly json: SharedArrayBuffer;
}

export interface JudgeTask {
  readonly models: readonly SharedModel[];
  /** Cells in series of all of them. */
  readonly series: number;
  readonly use: Use;
  readonly whose: Whose;
  /** Whether every direction of uncertainty is followed, as it is for what somebody looks at. */
  readonly isWhole: boolean;
}

/** Models that a thread has read and keeps; some 12 KiB each. */
const KEPT_MODELS = 2_000;
const read = new LRUCache<string, PackModel>({ max: KEPT_MODELS });

/** Judges a use of each pack; null where its model says nothing of it. */
export function judgeInThread({ models, series, use, whose, isWhole }: JudgeTask): (Judgement | null)[] {
  const demand = demandFor(use, series);
  return models.map((shared) => judgeUse(modelOf(shared), use, whose, demand, isWhole));
}

function modelOf({ packId, revision, json }: SharedModel): PackModel {
  const key = `${packId} ${revision}`;
  let model = read.get(key);
  if (!model) {
    // A decoder takes no shared memory.
    model = JSON.parse(Buffer.from(new Uint8Array(json)).toString("utf8")) as PackModel;
    read.set(key, model);
  }
  return model;
}
