import { describe, expect, test } from "@jest/globals";
import { evaluate } from "../../src/core/evaluate.js";
import { blockingRules } from "../../src/core/protocol/conformance.js";
import { LogError } from "../../src/core/table/log-error.js";
import { newestProtocol, withoutTranslations } from "../support/protocols.js";
import { honestCourse } from "./honest-course.js";
import { type OddKind, OVER_RANGE, READ } from "./kinds.js";

const SEEDS = Array.from({ length: Number(process.env.ODD_LOGS ?? 3) }, (_, i) => i + 1);
/** A pack that gets too hot, or has no probe in the log, is no fault of how it was logged. */
const OF_THE_PACK = ["temperature-limit"];
const MIN_WITHIN_3_U = 0.97;

const protocol = withoutTranslations(newestProtocol("full-load"));

/** How far each figure lies from the truth, in u, and what the result says of the log. */
async function judged(kind: OddKind, seed: number) {
  const course = honestCourse(seed, kind.needs);
  const { evaluation } = await evaluate([Buffer.from(`${kind.lines(course).join("\n")}\n`)], course.facts, protocol);
  const deviations = evaluation.figures.flatMap(({ key, value, uncertainty, bound }) => {
    const truth = course.truth[key];
    return truth === undefined || bound !== "none" ? [] : [Math.abs(value - truth) / uncertainty];
  });
  const blocking = blockingRules(evaluation.findings, protocol.rules);
  return { deviations, blocking, reported: evaluation.adjustments.map((made) => made.kind) };
}

describe("an honest run conforms, with its figures within their uncertainty, logged with", () => {
  const allowed = (kind: OddKind) => [...OF_THE_PACK, ...(kind.fails ?? [])];

  test.each(Object.entries(READ))(
    "%s",
    async (_, kind) => {
      const runs = await Promise.all(SEEDS.map((seed) => judged(kind, seed)));
      for (const { blocking, reported } of runs) {
        expect(blocking.filter((rule) => !allowed(kind).includes(rule))).toEqual([]);
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
