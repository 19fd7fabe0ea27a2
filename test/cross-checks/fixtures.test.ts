import { readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "@jest/globals";
import { CLOSED_FORM_NAME, closedForm } from "./closed-form.js";
import { TWO_PULSE_NAME, twoPulseForm } from "./closed-form-two-pulse.js";
import { fixtureFiles } from "./fixture-files.js";

const read = (name: string) => readFileSync(join(import.meta.dirname, "fixtures", name), "utf8");

test("the simulator still writes the committed logs, byte by byte", () => {
  for (const [name, text] of fixtureFiles()) expect([name, text === read(name)]).toEqual([name, true]);
});

// Two implementations of docs/definitions.md in two languages, one on the noise-free solution, one on its log.
describe("the oracle's figures of a 10 Hz log and the noise-free figures", () => {
  const truth: Record<string, number> = JSON.parse(read("truth-4s-10hz.truth.json")).own;
  const oracle: Record<string, { value: number }> = JSON.parse(read("truth-4s-10hz.oracle.json")).figures;

  test("have the same keys", () => expect(Object.keys(oracle).sort()).toEqual(Object.keys(truth).sort()));

  test.each(Object.entries(truth))("%s agrees within 0.5 %, resistance within 5 %", (key, value) => {
    const limit = key.startsWith("resistance") ? 0.05 : 0.005;
    expect(Math.abs((oracle[key]?.value as number) / value - 1)).toBeLessThan(limit);
  });
});

// Trapezoids at 20 Hz depart from the curve by h^2 f'' / 12: 2e-7 V here. The step of a microsecond adds as little.
describe("the oracle's figures of a step response hold its closed form (derived)", () => {
  const { figures, trace } = JSON.parse(read(`${CLOSED_FORM_NAME}.oracle.json`));
  const { meanVolts, restVolts, amperes } = closedForm;
  const expected: Readonly<Record<string, number>> = {
    "voltage-10s": meanVolts(9.5, 10.5),
    "power-30s": amperes * meanVolts(29.5, 30.5),
    "power-peak": amperes * meanVolts(0, 0.5),
    "resistance-1s": (1000 * (restVolts - meanVolts(0.5, 1.5))) / amperes,
    "resistance-10s": (1000 * (restVolts - meanVolts(9.5, 10.5))) / amperes,
    "sag-10s": (restVolts - meanVolts(9.5, 10.5)) / 12,
    "hold-30s": meanVolts(29.5, 30.5) / meanVolts(0, 0.5),
    capacity: closedForm.capacityMah,
    energy: closedForm.energyWh,
    runtime: closedForm.runtimeSeconds,
  };

  test.each(Object.entries(expected))("%s, to one part in a million", (key, value) => {
    expect(Math.abs(figures[key].value / value - 1)).toBeLessThan(1e-6);
  });

  test("the run ended early, so capacity, energy and runtime are lower bounds", () => {
    expect(trace).toMatchObject({ stop: "operator", cutoffS: null });
    expect([figures.capacity.bound, figures.energy.bound, figures.runtime.bound]).toEqual(["lower", "lower", "lower"]);
    expect(figures["power-10s"].bound).toBe("none");
    expect(figures).not.toHaveProperty("power-cutoff");
    expect(figures).not.toHaveProperty("temperature-rise");
  });
});

describe("the oracle's two-pulse resistance of a source with a closed form (derived)", () => {
  const { figures } = JSON.parse(read(`${TWO_PULSE_NAME}.oracle.json`));
  const { overWindows, atInstants, cells, itA } = twoPulseForm;

  test("is that of the same windows, to one part in a million", () => {
    expect(Math.abs(figures["resistance-two-pulse"].value / overWindows - 1)).toBeLessThan(1e-6);
    expect(figures["resistance-two-pulse-per-cell"].value).toBeCloseTo(
      figures["resistance-two-pulse"].value / cells,
      9,
    );
    const fallAt1It = (figures["resistance-two-pulse"].value * itA) / 1000 / cells;
    expect(figures["resistance-two-pulse-times-it"].value).toBeCloseTo(fallAt1It, 12);
  });

  test("departs from a reading at the instants, as IEC 61960-3 has it (from memory), by less than 0.5 %", () => {
    expect(Math.abs(overWindows / atInstants - 1)).toBeLessThan(0.005);
  });
});
