import { expect, it } from "@jest/globals";
import { predict } from "../../docs/example/predict.mjs";
import { buildModel } from "../../src/core/use/model/build-model.js";
import type { PackModel } from "../../src/core/use/model/pack-model.js";
import { predictUse } from "../../src/core/use/predict.js";
import { simulateRecord, THREE_TESTERS } from "./pooled-pack.js";

const record = simulateRecord("B", "lihv", "p1", THREE_TESTERS);
const model = JSON.parse(JSON.stringify(buildModel(record.facts, record.runs, "provisional"))) as PackModel;
const { suitedLoadA, facts } = record.pack;
const watts = suitedLoadA * 3.5 * facts.series;

it.each([
  ["steady power", [{ seconds: 60, powerW: 0.7 * watts }], 1],
  [
    "laps of power",
    [
      { seconds: 5, powerW: watts },
      { seconds: 15, powerW: 0.35 * watts },
    ],
    6,
  ],
  [
    "a current, then a rest",
    [
      { seconds: 30, currentA: suitedLoadA },
      { seconds: 30, currentA: 0 },
    ],
    1,
  ],
  ["a resistance", [{ seconds: 60, resistanceOhm: (facts.series * 3.7) / suitedLoadA }], 2],
])("what is predicted of %s can be computed again by what the documentation shows", (_, steps, repeats) => {
  const use = { steps, repeats, startC: 22, ambientC: 20 };
  const limits = { cutoffVoltsPerCell: 3, reserve: 0, temperatureLimitC: 90 };
  const { curve } = predictUse(model, { ...use, ...limits }, { kind: "mean" });
  const again = predict(model, use, 3, 0.05);
  expect(curve.length).toBeGreaterThan(50);
  const soon = (timeS: number) => timeS % 20 < 0.5 || timeS % 30 < 0.5 || (timeS % 20) - 5 < 0.5;
  for (const point of curve) {
    const near = again.reduce((best, one) =>
      Math.abs(one.timeS - point.timeS) < Math.abs(best.timeS - point.timeS) ? one : best,
    );
    // Half a second after a change of load both are between their stretches' middles.
    expect(Math.abs(near.voltageV / point.voltageV - 1)).toBeLessThan(soon(point.timeS) ? 0.005 : 0.0005);
    expect(Math.abs(near.temperatureC - (point.temperatureC as number))).toBeLessThan(0.2);
  }
});
