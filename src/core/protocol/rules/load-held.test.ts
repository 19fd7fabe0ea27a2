import { expect, test } from "@jest/globals";
import { ruleCases } from "../../../../test/support/rule-cases.js";
import { findingOf, runUnderTest } from "../../../../test/support/run-under-test.js";

const { trace } = runUnderTest().run;
const easedFrom = (from: number, to: number) => ({
  ...trace,
  current: trace.current.map((amps, i) =>
    (trace.time[i] as number) > from && (trace.time[i] as number) <= to ? 30 : amps,
  ),
});

ruleCases("load-held", {
  passing: { "a load that is held": {} },
  failing: { "a load that is eased for 40 s": { run: { trace: easedFrom(20, 60) } } },
  boundary: { "1 % of the time": [{ run: { trace: easedFrom(50, 50.8) } }, { run: { trace: easedFrom(50, 51.2) } }] },
  notAssessable: { "a run that ended before 10 s": { stop: { endS: 0.5 } } },
});

/** 100 A from onset (sample 20, 10 Hz) on, but for the given share of it between two instants. */
const eased = (share: number, fromS: number, toS: number) => ({
  run: {
    trace: {
      ...trace,
      current: trace.current.map((amps, i) => (i / 10 - 2 > fromS && i / 10 - 2 <= toS ? share * amps : amps)),
    },
  },
});

// At least 60 % of what the load at 10 s would draw, for 99 % of the time (common practice, no published source).
test.each([
  ["held throughout", eased(1, 0, 0), "pass"],
  ["eased to 65 % half-way", eased(0.65, 50, 100), "pass"],
  ["eased to a quarter after 11 s", eased(0.25, 11, 100), "fail"],
  ["paused for 0.9 s", eased(0, 50, 50.9), "pass"],
  ["paused for 1.1 s", eased(0, 50, 51.1), "fail"],
] as const)("a load %s: %s", (_, changes, outcome) => {
  expect(findingOf("load-held", changes).outcome).toBe(outcome);
});

test("a load of constant power, which draws more as the voltage falls, is held", () => {
  const current = trace.current.map((amps, i) => (amps * 14.5) / (trace.voltage[i] as number));
  expect(findingOf("load-held", { run: { trace: { ...trace, current } } }).outcome).toBe("pass");
});

test("the longest stretch without it is named", () => {
  const { span } = findingOf("load-held", eased(0, 40, 60));
  expect(span?.fromS).toBeCloseTo(40, 9);
  expect(span?.toS).toBeCloseTo(60, 9);
});

test("a run too short for the mark at 10 s is not assessed", () => {
  const { protocol, reads, ...rest } = runUnderTest();
  expect([protocol.key, rest.run.stop.endS, reads.own.has("current-10s")]).toEqual(["full-load", 100, true]);
  expect(findingOf("load-held", { stop: { cutoffS: 0.5, endS: 0.5 } }).outcome).toBe("not-assessable");
});
