import { expect, test } from "@jest/globals";
import { LogError } from "../../src/core/table/log-error.js";
import { judged } from "./judged.js";
import type { OddKind } from "./kinds.js";
import { MARKED_OVER_RANGE, MARKED_READ, MARKED_UNUSABLE } from "./marks.js";

const { ODD_LOGS } = process.env;
const SEEDS = Array.from({ length: Number(ODD_LOGS ?? 1) }, (_, i) => i + 1);
/** One in so many is tried where the environment asks for no more, of each table in each place. */
const ONE_IN = 7;
const MIN_WITHIN_3_U = 0.95;

const triedOf = (kinds: Readonly<Record<string, OddKind>>): [string, OddKind][] =>
  Object.entries(kinds).filter((_, at) => ODD_LOGS !== undefined || at % ONE_IN === 0);

test.each(triedOf(MARKED_READ))(
  "an honest run conforms, with its figures within their uncertainty, logged with %s",
  async (_, kind) => {
    const runs = await Promise.all(SEEDS.map((seed) => judged(kind, seed)));
    for (const { blocking } of runs) expect(blocking).toEqual([]);
    const all = runs.flatMap(({ deviations }) => deviations);
    expect(all.length).toBeGreaterThan(20 * SEEDS.length);
    expect(all.filter((deviation) => deviation <= 3).length).toBeGreaterThanOrEqual(MIN_WITHIN_3_U * all.length);
  },
  300_000,
);

test.each(triedOf(MARKED_OVER_RANGE))(
  "a log is refused with the line and column of its first mark, and its tester told to set a wider range, with %s",
  async (_, kind) => {
    for (const seed of SEEDS) {
      const refusal = await judged(kind, seed).catch((error: unknown) => error);
      expect(refusal).toBeInstanceOf(LogError);
      expect(refusal).toMatchObject({
        code: "log-over-range",
        message: expect.stringMatching(/, the first in line \d+, column [23]: .*Set a wider range and test again\.$/),
      });
    }
  },
  300_000,
);

test.each(triedOf(MARKED_UNUSABLE))(
  "rows without a reading are counted, and the first of them named, with %s",
  async (_, kind) => {
    for (const seed of SEEDS) {
      const { findings } = await judged(kind, seed);
      expect(findings.find(({ rule }) => rule === "rows-usable")).toMatchObject({
        outcome: "fail",
        message: expect.stringMatching(/the first incomplete row is line \d+ of the log/),
      });
    }
  },
  300_000,
);
