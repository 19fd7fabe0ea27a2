import { describe, expect, it } from "@jest/globals";
import { knownModel } from "../../../../test/support/known-pack-model.js";
import { predictUse } from "../../../core/use/predict.js";
import type { Use } from "../../../core/use/use.js";
import { predictionChart } from "./prediction-chart.js";
import { predictionsMarkdown } from "./prediction-markdown.js";
import type { NamedPrediction } from "./prediction-words.js";

/** Four cells in series whose source falls by 1 V over 5 Ah, behind 4 milliohm each. */
const model = knownModel({ source: (share) => 4.2 - share, seriesOhm: 0.004 });
const AMPERES = 50;
const use: Use = {
  steps: [{ seconds: 200, currentA: AMPERES }],
  repeats: 1,
  startC: 23,
  ambientC: 23,
  cutoffVoltsPerCell: 3.3,
  reserve: 0,
  temperatureLimitC: 60,
};
const named = (name: string, asked = use): NamedPrediction => ({
  packId: name,
  name,
  cutoffVolts: 13.2,
  verifiedContinuousA: null,
  ...predictUse(model, asked, { kind: "mean" }),
});
const SOURCE = { origin: "http://s", address: "http://s/v1/predictions", date: "2026-05-02" };
const [volts, power] = [0, 1];

describe("the picture of a prediction", () => {
  // Ohm's law by hand: 4 (4.2 V - q / 5 Ah - 0.004 ohm 50 A) after q = 50 A t.
  it("shows the voltage that Ohm's law gives, and the power with it, with bands of 2 u", () => {
    const item = named("Halden Sprint");
    const chart = predictionChart({ use, items: [item] }, SOURCE);
    const points = chart.panels[volts]?.series[0]?.points ?? [];
    expect(points).toHaveLength(item.curve.length);
    points.forEach(({ x, y, yHalf }, i) => {
      expect(Math.abs(y - 4 * (4.2 - (AMPERES * x) / 18_000 - 0.2))).toBeLessThan(1e-3);
      expect(yHalf).toBeCloseTo(2 * (item.curve[i]?.voltageUncertainty as number), 12);
      expect(chart.panels[power]?.series[0]?.points[i]?.y).toBeCloseTo(AMPERES * y, 6);
    });
    expect(chart.panels.map(({ quantity }) => quantity.unit)).toEqual(["V", "W", "°C"]);
    expect(chart.panels[volts]?.levels).toEqual([{ value: 13.2, name: "cutoff, 13.2 V" }]);
    expect([chart.instants, chart.caption.title]).toEqual([[], "Halden Sprint under a use of 3.33 min"]);
    expect(chart.caption.subtitle).toContain("200 s of 50 A; 0 % in reserve");
    expect(chart.caption.notes[0]).toMatch(/no licence/);
  });

  it("shows the current where the use sets the power", () => {
    const asked = {
      ...use,
      steps: [
        { seconds: 100, powerW: 700 },
        { seconds: 5, currentA: 0 },
      ],
    };
    const { panels } = predictionChart({ use: asked, items: [named("A", asked)] }, SOURCE);
    expect(panels[power]?.quantity).toEqual({ name: "Current", unit: "A" });
  });

  // 4.2 - 0.2 - 50 t / 18000 = 3.3 at t = 252 s, by hand.
  it("marks where a pack fails, beside one of which nothing is said", () => {
    const asked = { ...use, steps: [{ seconds: 300, currentA: AMPERES }] };
    const unknown = { ...named("B", { ...asked, steps: [{ seconds: 300, currentA: 200 }] }) };
    const chart = predictionChart({ use: asked, items: [unknown, named("A", asked)] }, SOURCE);
    expect(chart.instants).toEqual([{ value: expect.closeTo(252, 0), name: "A: voltage" }]);
    expect(chart.legend).toEqual([{ index: 1, kind: "line", name: expect.stringMatching(/^A: does not hold/) }]);
    expect(chart.panels.every(({ series }) => series.length === 1)).toBe(true);
    expect(chart.caption.notes.at(-1)).toMatch(/^To say more of B: a full load of 143 A/);
    expect(chart.caption.description).toContain("B: its runs do not tell.");
  });
});

it("names packs in a table as text, whatever they are called", () => {
  const text = predictionsMarkdown({ use, items: [named("A|B <i>"), named("C")] }, SOURCE.address);
  expect(text).toContain("| A\\|B \\<i\\> | yes |");
  expect(text).toMatch(/\| C \| yes \| over 99.9 % \|/);
  expect(text).toContain("no licence");
});
