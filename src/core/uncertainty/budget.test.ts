import { describe, expect, test } from "@jest/globals";
import { createRandom } from "../../../seed/simulator/random.js";
import { evaluateText, evaluateTrace, figureOf } from "../../../test/support/evaluated.js";
import { FACTS } from "../../../test/support/facts.js";
import { instants, traceOf } from "../../../test/support/traces.js";
import type { BenchFacts, Figure } from "../model.js";
import { rectangular } from "./noise.js";

const EXACT: BenchFacts = {
  load: { kind: "constant-current" },
  voltage: { percent: 0, offset: 0 },
  current: { percent: 0, offset: 0 },
  temperature: { offset: 0 },
  sense: { point: "pack" },
};

/** 100 A from 0 to 100 s out of a pack at 15 V, cutoff at 90 s, on a bench that is exact but for what a test says of it. */
function measured(bench: Partial<BenchFacts>, { rateHz = 20, noiseA = 0, restA = 0, restS = 3 } = {}) {
  const random = createRandom(11);
  const loaded = (t: number) => t >= 0 && t <= 100 + 1e-9;
  const trace = traceOf(instants(-restS, 103, rateHz), {
    volts: (t) => (loaded(t) ? 15 - 0.02 * t : 16.8),
    amperes: (t) => (loaded(t) ? 100 : restA) + noiseA * random.gaussian(),
    celsius: (t) => 22 + Math.max(0, t) / 8,
  });
  return evaluateTrace(trace, { ...FACTS, bench: { ...EXACT, ...bench } });
}

const part = (figure: Figure, source: string): number =>
  figure.budget.find((one) => one.source === source)?.uncertainty ?? 0;
const relative = (figure: Figure, source: string) => part(figure, source) / figure.value;

test("a rectangular distribution of half-width 1 has u = 1 / sqrt 3 (JCGM 100, 4.3.7; clause from memory)", () => {
  expect(rectangular(1)).toBeCloseTo(0.5773502691896258, 15);
});

// Derived from JCGM 100, 5.1 and 5.2: what is correlated within a run does not average out, what is independent does.
describe("a gain error of 0.5 % of the current", () => {
  test("stays 0.288675 % of capacity, energy and power, however many samples there are", async () => {
    for (const rateHz of [10, 40]) {
      const evaluation = await measured({ current: { percent: 0.5, offset: 0 } }, { rateHz });
      for (const key of ["capacity", "energy", "power-10s", "current-10s"]) {
        expect(relative(figureOf(evaluation, key), "current gain")).toBeCloseTo(0.00288675, 6);
      }
    }
  });

  test("is the same share of a resistance", async () => {
    const evaluation = await measured({ current: { percent: 0.5, offset: 0 } });
    expect(relative(figureOf(evaluation, "resistance-10s"), "current gain")).toBeCloseTo(0.00288675, 6);
  });
});

test("independent noise shrinks with the root of the number of samples, and the gain's part does not", async () => {
  const bench = { current: { percent: 0.5, offset: 0 } };
  const [slow, fast] = await Promise.all(
    [10, 40].map(async (rateHz) => figureOf(await measured(bench, { rateHz, noiseA: 0.5 }), "capacity")),
  );
  if (!slow || !fast) throw new Error("no capacity");
  expect(part(slow, "noise") / part(fast, "noise")).toBeGreaterThan(1.8);
  expect(part(slow, "noise") / part(fast, "noise")).toBeLessThan(2.2);
  expect(relative(slow, "current gain") / relative(fast, "current gain")).toBeCloseTo(1, 3);
});

describe("a voltage offset", () => {
  test("cancels in a resistance and in a sag, which are differences of voltages", async () => {
    const evaluation = await measured({ voltage: { percent: 0, offset: 0.02 } });
    for (const key of ["resistance-1s", "resistance-10s", "sag-10s"]) {
      expect(part(figureOf(evaluation, key), "voltage offset")).toBeLessThan(1e-9);
    }
  });

  test("stays whole in a voltage, and times the current in a power", async () => {
    const evaluation = await measured({ voltage: { percent: 0, offset: 0.02 } });
    expect(part(figureOf(evaluation, "voltage-10s"), "voltage offset")).toBeCloseTo(0.02 / Math.sqrt(3), 9);
    expect(part(figureOf(evaluation, "power-10s"), "voltage offset")).toBeCloseTo((100 * 0.02) / Math.sqrt(3), 6);
  });

  // By JCGM 100, 5.2.2: errors that are the same in each of n summands add up, where independent ones add in squares.
  test("counts once for each cell of a sum of cells, which one meter reads", async () => {
    const rows = [...instants(-3, 103, 20)].map((t) => {
      const isLoaded = t >= 0 && t <= 100 + 1e-9;
      const cell = ((isLoaded ? 15 - 0.02 * t : 16.8) / FACTS.pack.series).toFixed(6);
      return [t.toFixed(3), ...Array(FACTS.pack.series).fill(cell), isLoaded ? 100 : 0].join(",");
    });
    const cells = Array.from({ length: FACTS.pack.series }, (_, i) => `Cell ${i + 1} [V]`);
    const csv = `${["Time [s]", ...cells, "Current [A]"].join(",")}\n${rows.join("\n")}\n`;
    const evaluation = await evaluateText(csv, {
      ...FACTS,
      bench: { ...EXACT, voltage: { percent: 0, offset: 0.02 } },
    });
    const expected = (FACTS.pack.series * 0.02) / Math.sqrt(3);
    expect(part(figureOf(evaluation, "voltage-10s"), "voltage offset")).toBeCloseTo(expected, 9);
  });

  test("moves the cutoff, by its size over the slope there", async () => {
    const runtime = figureOf(await measured({ voltage: { percent: 0, offset: 0.02 } }), "runtime");
    expect(part(runtime, "voltage offset")).toBeCloseTo(0.02 / Math.sqrt(3) / 0.02, 4);
  });
});

test("a common voltage gain error is the same share of a resistance (JCGM 100, 5.2, derived)", async () => {
  const evaluation = await measured({ voltage: { percent: 0.6, offset: 0 } });
  expect(relative(figureOf(evaluation, "resistance-10s"), "voltage gain")).toBeCloseTo(0.006 / Math.sqrt(3), 7);
});

describe("a stated current offset", () => {
  test("counts where too little rest was logged to know it", async () => {
    const current = { percent: 0, offset: 0.3 };
    expect(part(figureOf(await measured({ current }, { restS: 0.8 }), "current-10s"), "current offset")).toBeCloseTo(
      0.3 / Math.sqrt(3),
      9,
    );
  });

  test("is gone where the rest reads exactly nothing: that is a measured zero", async () => {
    const evaluation = await measured({ current: { percent: 0, offset: 0.3 } });
    expect(part(figureOf(evaluation, "capacity"), "current offset")).toBe(0);
  });

  test("gives way to the noise of the rest's median once it was subtracted", async () => {
    const evaluation = await measured({ current: { percent: 0, offset: 0.3 } }, { restA: 0.2, noiseA: 0.1 });
    const left = part(figureOf(evaluation, "current-10s"), "current offset");
    // 60 samples of rest: sqrt(pi / 2) x 0.1 A / sqrt 60.
    expect(left / ((Math.sqrt(Math.PI / 2) * 0.1) / Math.sqrt(60))).toBeCloseTo(1, 1);
  });
});

test("the onset of a load that comes on between two samples is known to half of their distance, rectangular", async () => {
  for (const rateHz of [10, 20]) {
    const runtime = figureOf(await measured({}, { rateHz }), "runtime");
    expect(part(runtime, "onset")).toBeCloseTo(0.5 / rateHz / Math.sqrt(3), 4);
  }
});

describe("a sense resistance", () => {
  test.each([
    [{ resistanceMilliohm: 2 }, 0.05 * 0.002],
    [{ gaugeAwg: 12, lengthMm: 150 }, 0.1 * 2 * 0.15 * 5.21081e-3],
  ])("%j is known to a share of itself (common practice, no published source)", async (sense, halfWidthOhm) => {
    const voltage = figureOf(await measured({ sense: { point: "lead", ...sense } }), "voltage-10s");
    expect(part(voltage, "sense resistance")).toBeCloseTo((100 * halfWidthOhm) / Math.sqrt(3), 6);
  });
});

test("a figure's uncertainty is the root of the sum of its parts' squares, each of them above zero", async () => {
  const { figures } = await measured(FACTS.bench, { noiseA: 0.2 });
  for (const { key, uncertainty, budget } of figures) {
    const squares = budget.reduce((sum, one) => sum + one.uncertainty ** 2, 0);
    expect([key, Math.abs(uncertainty - Math.sqrt(squares)) <= 1e-12 * uncertainty]).toEqual([key, true]);
    expect(budget.every((one) => one.uncertainty > 0)).toBe(true);
  }
});

// What is computed on fewer samples for speed keeps the stop of all of them (derived: the part of a log that is read does not change with what
// else was logged).
test.each([
  ["ten minutes of rest before", { restS: 600 }],
  ["an hour of rest before, at 5 Hz", { restS: 3600, rateHz: 5 }],
  ["500 samples a second", { rateHz: 500 }],
])("no part vanishes with %s", async (_, more) => {
  const bench = {
    voltage: { percent: 0.2, offset: 0.02 },
    current: { percent: 0.5, offset: 0.3 },
    sense: { point: "lead", resistanceMilliohm: 1 },
  } as const;
  const plain = await measured(bench, { noiseA: 0.02 });
  const long = await measured(bench, { noiseA: 0.02, ...more });
  for (const key of ["runtime", "capacity", "energy"]) {
    const [expected, found] = [figureOf(plain, key), figureOf(long, key)];
    for (const source of ["voltage gain", "voltage offset", "sense resistance", "clock"])
      expect([key, source, Math.abs(part(found, source) / part(expected, source) - 1) < 0.02]).toEqual([
        key,
        source,
        true,
      ]);
  }
});

test("the logger's clock counts for 0.1 % where none is stated, rectangular, in all that is time", async () => {
  const [usual, stated] = [await measured({}), await measured({ clockPercent: 0.5 })];
  for (const key of ["runtime", "capacity", "energy"]) {
    expect(relative(figureOf(usual, key), "clock")).toBeCloseTo(0.001 / Math.sqrt(3), 5);
    expect(relative(figureOf(stated, key), "clock")).toBeCloseTo(0.005 / Math.sqrt(3), 5);
  }
  expect(relative(figureOf(usual, "power-10s"), "clock")).toBeLessThan(1e-5);
});
