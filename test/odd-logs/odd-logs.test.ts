import { describe, expect, test } from "@jest/globals";
import { LogError } from "../../src/core/table/log-error.js";
import { judged } from "./judged.js";
import { OVER_RANGE, READ } from "./kinds.js";
import { MORE } from "./more.js";
import { TWO_RATES } from "./two-rates.js";

const SEEDS = Array.from({ length: Number(process.env.ODD_LOGS ?? 3) }, (_, i) => i + 1);
const MIN_WITHIN_3_U = 0.97;

describe("an honest run conforms, with its figures within their uncertainty, logged with", () => {
  test.each(Object.entries({ ...READ, ...TWO_RATES, ...MORE }))(
    "%s",
    async (_, kind) => {
      const runs = await Promise.all(SEEDS.map((seed) => judged(kind, seed)));
      for (const { blocking, reported } of runs) {
        expect(blocking).toEqual([]);
        expect(reported).toEqual(expect.arrayContaining([...(kind.reported ?? [])]));
      }
      const all = runs.flatMap(({ deviations }) => deviations);
      expect(all.length).toBeGreaterThan(20 * SEEDS.length);
      expect(all.filter((deviation) => deviation <= 3).length).toBeGreaterThanOrEqual(MIN_WITHIN_3_U * all.length);
    },
    300_000,
  );
});

describe("a log is refused, and its tester told to set a wider range, with", () => {
  test.each(Object.entries(OVER_RANGE))(
    "%s",
    async (_, kind) => {
      for (const seed of SEEDS) {
        const refusal = await judged(kind, seed).catch((error: unknown) => error);
        expect(refusal).toBeInstanceOf(LogError);
        expect(refusal).toMatchObject({
          code: "log-over-range",
          message: expect.stringContaining("Set a wider range and test again."),
        });
      }
    },
    300_000,
  );
});
