import { describe, expect, test } from "@jest/globals";
import fc from "fast-check";
import { evaluateText } from "../../test/support/evaluated.js";
import { FACTS } from "../../test/support/facts.js";
import type { Evaluation } from "./model.js";
import { PROTOCOLS } from "./protocol/index.js";
import { LogError } from "./table/log-error.js";

const RUNS = 300;

/** One part of a load: from one level to another, as shares of the largest current, with its samples. */
interface Part {
  readonly from: number;
  readonly to: number;
  readonly samples: number;
}

const share = fc.oneof(fc.constantFrom(0, 0, 0.03, 0.1, 0.16, 1), fc.double({ min: 0, max: 1, noNaN: true }));
const part: fc.Arbitrary<Part> = fc.record({
  from: share,
  to: share,
  samples: fc.oneof(fc.constantFrom(1, 2), fc.integer({ min: 1, max: 600 })),
});
const rest: fc.Arbitrary<Part> = fc.integer({ min: 1, max: 100 }).map((samples) => ({ from: 0, to: 0, samples }));
const slowRamp: fc.Arbitrary<Part[]> = fc
  .record({ before: fc.integer({ min: 0, max: 60 }), samples: fc.integer({ min: 20, max: 6000 }) })
  .map(({ before, samples }) => [
    { from: 0, to: 0, samples: before },
    { from: 0, to: 1, samples },
  ]);

interface StrangeLoad {
  readonly parts: readonly Part[];
  readonly stepMs: number;
  readonly largestA: number;
  readonly noiseA: number;
  readonly hasTemperature: boolean;
  readonly emptyCell: boolean;
}

const strangeLoad: fc.Arbitrary<StrangeLoad> = fc.record({
  parts: fc.oneof(fc.array(fc.oneof(part, rest), { minLength: 1, maxLength: 5 }), slowRamp),
  stepMs: fc.constantFrom(100, 200, 1000, 5000),
  largestA: fc.constantFrom(0.5, 60, 400),
  noiseA: fc.constantFrom(0, 0.05, 2),
  hasTemperature: fc.boolean(),
  emptyCell: fc.boolean(),
});

/** What a pack of four cells shows under such a load. */
function logOf({ parts, stepMs, largestA, noiseA, hasTemperature, emptyCell }: StrangeLoad): string {
  const head = ["Time [s]", "Voltage [V]", "Current [A]"];
  if (hasTemperature) head.push("Temperature [degC]");
  if (emptyCell) head.push("Cell 1 [V]");
  const rows = [head.join(",")];
  let drawn = 0;
  for (const { from, to, samples } of parts) {
    for (let at = 0; at < samples; at++) {
      const amperes = largestA * (from + ((to - from) * at) / Math.max(1, samples - 1));
      drawn += (amperes * stepMs) / 3_600_000;
      const row = rows.length;
      const logged = amperes + noiseA * ((((row * 37) % 11) - 5) / 5);
      const cells = [(row * stepMs) / 1000, (16.8 - 0.6 * drawn - 0.02 * amperes).toFixed(3), logged.toFixed(3)];
      if (hasTemperature) cells.push((22 + 4 * drawn).toFixed(1));
      if (emptyCell) cells.push("");
      rows.push(cells.join(","));
    }
  }
  return `${rows.join("\n")}\n`;
}

/** Where a result holds a number that is none, or a text that names one. */
function nonsenseIn(value: unknown, path = ""): string[] {
  if (typeof value === "number") return Number.isFinite(value) ? [] : [`${path}: ${value}`];
  if (typeof value === "string")
    return /NaN|Infinity|undefined|give no number/.test(value) ? [`${path}: ${value}`] : [];
  if (value === null || typeof value !== "object") return [];
  return Object.entries(value).flatMap(([key, held]) => nonsenseIn(held, `${path}/${key}`));
}

describe.each(PROTOCOLS.map((protocol) => [`${protocol.key} ${protocol.version}`, protocol] as const))(
  "under %s",
  (_, protocol) => {
    test("a log of any course of the load gives numbers, or is refused with a reason", async () => {
      let read = 0;
      await fc.assert(
        fc.asyncProperty(strangeLoad, async (load) => {
          let evaluation: Evaluation;
          try {
            evaluation = await evaluateText(logOf(load), FACTS, protocol);
          } catch (error) {
            if (!(error instanceof LogError)) throw error;
            expect(nonsenseIn([error.message, error.places])).toEqual([]);
            return;
          }
          read++;
          expect(nonsenseIn(evaluation)).toEqual([]);
        }),
        { numRuns: RUNS / PROTOCOLS.length, seed: 20_260_502 },
      );
      expect(read).toBeGreaterThan(RUNS / PROTOCOLS.length / 4);
    }, 300_000);
  },
);

test.each([30, 100, 300, 3000])(
  "a load that grows over %d s fails for its rise, and never conforms",
  async (seconds) => {
    const parts = [
      { from: 0, to: 0, samples: 50 },
      { from: 0, to: 1, samples: seconds * 10 },
    ];
    const load = { parts, stepMs: 100, largestA: 60, noiseA: 0.05, hasTemperature: true, emptyCell: false };
    const { findings, verdict } = await evaluateText(logOf(load));
    const rise = findings.find(({ rule }) => rule === "load-rise");
    expect([verdict, rise?.outcome]).toEqual(["nonconforming", "fail"]);
    expect(rise?.observed).toBeGreaterThan(1);
  },
);
