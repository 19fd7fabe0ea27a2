import { readFileSync } from "node:fs";
import { type PackModel, USE_MODEL_VERSION } from "../../src/core/use/model/pack-model.js";
import { predictUse } from "../../src/core/use/predict.js";
import type { Use, UseStep } from "../../src/core/use/use.js";
import type { PackFit } from "../../src/core/use/validate.js";

/** A model in a few numbers, with what it predicts: they are the same as long as `USE_MODEL_VERSION` is. */
export type GoldenModel = Readonly<Record<string, unknown>>;

export const GOLDEN_FILE = new URL(`golden/use-model-${USE_MODEL_VERSION}.json`, import.meta.url);
export const readGolden = (): GoldenModel => JSON.parse(readFileSync(GOLDEN_FILE, "utf8"));

const USES: readonly [step: UseStep, reserve: number][] = [
  [{ seconds: 40, powerW: 2500 }, 0.2],
  [{ seconds: 30, resistanceOhm: 0.8 }, 0.5],
  [{ seconds: 125, currentA: 40 }, 0],
];
/** Every so many values of a table. */
const STRIDE = 32;

export function goldenOf({ model, validation }: PackFit): GoldenModel {
  if (!model) throw new Error("the runs make no model");
  const every = (table: readonly number[]) => table.filter((_, n) => n % STRIDE === 0);
  const { sourceVolts, resistanceFactor, directions, sourceKnots: _, factorKnots: __, ...numbers } = model;
  return JSON.parse(
    JSON.stringify({
      ...numbers,
      sourceVolts: every(sourceVolts),
      resistanceFactor: every(resistanceFactor),
      lnOhmOfDirections: directions.map(({ lnOhm }) => lnOhm[0]),
      validation,
      predictions: USES.map(([step, reserve]) => predicted(model, step, reserve)),
    }),
  );
}

function predicted(model: PackModel, step: UseStep, reserve: number) {
  const use: Use = {
    steps: [step],
    repeats: 2,
    startC: 23,
    ambientC: 20,
    cutoffVoltsPerCell: 3.3,
    reserve,
    temperatureLimitC: 60,
  };
  const { curve, cautions: _, needed, ...verdict } = predictUse(model, use, { kind: "unknown-specimen" });
  return { step, reserve, ...verdict, needed: needed.map(({ reason }) => reason), last: curve.at(-1) };
}
