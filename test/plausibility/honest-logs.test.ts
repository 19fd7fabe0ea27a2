import { beforeAll, expect, test } from "@jest/globals";
import { type Judged, judge } from "./judge.js";

const LOGS = Number(process.env.HONEST_LOGS ?? 120);
/** A rule that was asked less often has not been tried. */
const MIN_ASKED_SHARE = 0.05;

let judged: Judged;
beforeAll(async () => {
  judged = await judge(LOGS);
});

test("no log of many honest benches is taken for a dishonest one", () => {
  expect(judged.logs).toBe(LOGS);
  expect(judged.accused).toEqual([]);
});

test("every rule of plausibility was asked often enough to mean something", () => {
  const asked = Object.entries(judged.outcomes).map(([rule, { pass, fail }]) => [rule, pass + fail] as const);
  expect(asked.filter(([, times]) => times < MIN_ASKED_SHARE * LOGS)).toEqual([]);
});

test("the same courses, computed and not measured, are found out", () => {
  expect(judged.computed).toBeGreaterThanOrEqual(Math.floor(LOGS / 10));
  expect(judged.undetected).toEqual([]);
});

test("what is found of a log is the same whether its run is translated or not", () => {
  expect(judged.changed).toEqual([]);
});
