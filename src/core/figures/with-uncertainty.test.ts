import { describe, expect, test } from "@jest/globals";
import { evaluateTrace, figureKeys, figureOf, loadsOf } from "../../../test/support/evaluated.js";
import { FACTS } from "../../../test/support/facts.js";
import { instants, traceOf } from "../../../test/support/traces.js";

/** At rest until 0, then loaded until `offS`; at least 3 s each way. */
const runOf = (volts: (t: number) => number, amperes: number, offS: number, { restS = 3, celsius = true } = {}) => {
  const loaded = (t: number) => t >= 0 && t <= offS + 1e-9;
  return traceOf(instants(-restS, offS + 3, 20), {
    volts: (t) => (loaded(t) ? volts(t) : 16.8),
    amperes: (t) => (loaded(t) ? amperes : 0),
    ...(celsius ? { celsius: (t: number) => 22 + Math.max(0, t) / 8 } : {}),
  });
};
const steady = (volts: number, amperes: number) => evaluateTrace(runOf(() => volts, amperes, 60));
const toCutoff = (celsius = true) => evaluateTrace(runOf((t) => 15 - 0.02 * t, 100, 91, { celsius }));

describe("power is volts times amperes (common practice, no published source)", () => {
  test.each([
    [15.35, 118, 1811],
    [14.01, 96.6, 1353],
  ])("%d V x %d A is %d W", async (volts, amperes, watts) => {
    const evaluation = await steady(volts, amperes);
    for (const mark of ["peak", "10s", "30s"]) {
      expect(Math.round(figureOf(evaluation, `power-${mark}`).value)).toBe(watts);
      expect(figureOf(evaluation, `voltage-${mark}`).value).toBeCloseTo(volts, 9);
      expect(figureOf(evaluation, `current-${mark}`).value).toBeCloseTo(amperes, 9);
    }
  });
});

test("40 A for 3600 s is 40 Ah and, at 15 V, 600 Wh", async () => {
  const evaluation = await evaluateTrace(runOf(() => 15, 40, 3600));
  // The load rises and falls within one step of 0.05 s, of which half counts as load before the first loaded sample.
  expect(Math.abs(figureOf(evaluation, "capacity").value / 40_000 - 1)).toBeLessThan(2e-5);
  expect(Math.abs(figureOf(evaluation, "energy").value / 600 - 1)).toBeLessThan(2e-5);
  expect(figureOf(evaluation, "runtime").value).toBeCloseTo(3600.025, 6);
});

describe("a run that ended before its cutoff", () => {
  test("gives capacity, energy, runtime and what follows from them as lower bounds, the rest as figures", async () => {
    const { figures } = await steady(15, 100);
    const own = figures.filter(({ basis }) => basis !== "translated");
    expect(own.filter(({ bound }) => bound === "lower").map(({ key }) => key)).toEqual([
      "capacity",
      "energy",
      "runtime",
      "temperature-rise",
      "specific-energy",
      "capacity-share",
    ]);
    expect(own.every(({ bound }) => bound !== "upper")).toBe(true);
  });

  test("gives no figures of the cutoff", async () => {
    expect(figureKeys(await steady(15, 100), null).filter((key) => key.endsWith("cutoff"))).toEqual([]);
  });
});

test("a run to the cutoff gives no bounds, and the cutoff's figures: 13.2 V for 4 cells (common practice, no published source)", async () => {
  const evaluation = await toCutoff();
  const own = evaluation.figures.filter(({ basis }) => basis !== "translated");
  expect(own.filter(({ bound }) => bound !== "none")).toEqual([]);
  // The mean over the last half second of a fall of 0.02 V/s.
  expect(figureOf(evaluation, "voltage-cutoff").value).toBeCloseTo(13.2 + 0.02 * 0.25, 9);
});

describe("a figure is absent", () => {
  test("when the log has no temperature", async () => {
    const keys = figureKeys(await toCutoff(false), null);
    expect(keys).not.toContain("temperature-rise");
    expect(keys).toContain("capacity");
  });

  test("when no rest was logged", async () => {
    const evaluation = await evaluateTrace(runOf((t) => 15 - 0.02 * t, 100, 91, { restS: 0 }));
    const keys = figureKeys(evaluation, null);
    const fromOnset = [
      "resistance-1s",
      "resistance-10s",
      "sag-10s",
      "power-peak",
      "power-10s",
      "power-30s",
      "hold-30s",
    ];
    expect(fromOnset.filter((key) => keys.includes(key))).toEqual([]);
    expect(evaluation.figures.find(({ key }) => key === "capacity")?.bound).toBe("lower");
    expect(loadsOf(evaluation)).toEqual([]);
  });

  test("when the pack's mass is not known", async () => {
    const trace = runOf(() => 15, 100, 60);
    const evaluation = await evaluateTrace(trace, { ...FACTS, pack: { ...FACTS.pack, massGrams: null } });
    expect(figureKeys(evaluation, null).filter((key) => key.startsWith("specific"))).toEqual([]);
  });

  test("when the run ended before its mark", async () => {
    const keys = figureKeys(await evaluateTrace(runOf(() => 15, 100, 20)), null);
    expect(keys).toContain("power-10s");
    expect(keys).not.toContain("power-30s");
    expect(keys).not.toContain("hold-30s");
  });
});

describe("the basis of figures", () => {
  test("is measured when nothing was corrected", async () => {
    const { figures } = await toCutoff();
    expect(new Set(figures.map(({ basis }) => basis))).toEqual(new Set(["measured", "translated"]));
  });

  test("is corrected when a sense resistance was applied or an offset subtracted", async () => {
    const trace = runOf((t) => 15 - 0.02 * t, 100, 91);
    const lead = { ...FACTS.bench, sense: { point: "lead", resistanceMilliohm: 1 } } as const;
    const sensed = await evaluateTrace(trace, { ...FACTS, bench: lead });
    const offset = await evaluateTrace({ ...trace, current: trace.current.map((amperes) => amperes + 0.4) });
    for (const { figures } of [sensed, offset]) expect(figures[0]?.basis).toBe("corrected");
    expect(figureOf(sensed, "voltage-10s").value - figureOf(await toCutoff(), "voltage-10s").value).toBeCloseTo(0.1, 9);
  });

  test("is never translated for temperatures, of which a standard load says nothing", async () => {
    const translated = figureKeys(await toCutoff(), 100);
    expect(translated).toContain("power-10s");
    expect(translated).not.toContain("temperature-rise");
  });
});
