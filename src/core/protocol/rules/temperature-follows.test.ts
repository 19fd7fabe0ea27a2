import { expect, test } from "@jest/globals";
import { ruleCases } from "../../../../test/support/rule-cases.js";
import { BARE_RUN, findingOf, runUnderTest } from "../../../../test/support/run-under-test.js";

const { trace } = runUnderTest().run;
/** A temperature that has risen by so much at the end of the load. */
const risingBy = (kelvin: number, more: object = {}) => ({
  run: { trace: { ...trace, temperature: trace.time.map((t) => 25 + (kelvin * Math.max(0, t)) / 100) }, ...more },
});
// 100 A for 100 s at (16.8 - 14.5) V / 100 A are 23 kJ into 0.5 kg of 1 kJ/(kg K): 46 K, of which 600 s x (1 - exp(-100 s / 600 s)) / 100 s
// are kept. In closed form, derived.
const EXPECTED_K = 46 * 6 * (1 - Math.exp(-1 / 6));

ruleCases("temperature-follows", {
  passing: { "a pack that warms by 20 K": risingBy(20), "one that warms by more than its heat": risingBy(60) },
  failing: { "a probe that stays where it was": risingBy(0), "one that cools": risingBy(-3) },
  boundary: { "10 % of what the heat gives": [risingBy(0.1001 * EXPECTED_K), risingBy(0.0998 * EXPECTED_K)] },
  notAssessable: {
    "a log without a temperature": BARE_RUN,
    "a log without a rest": risingBy(0, { rest: null }),
    "a run that ended before 10 s": { ...risingBy(0), reads: { "voltage-10s": Number.NaN } },
    "a pack too heavy to get warm": { ...risingBy(0), pack: { massGrams: 5000 } },
  },
});

test("a pack of unknown mass is taken for one of 150 Wh/kg", () => {
  const known = findingOf("temperature-follows", { ...risingBy(20), pack: { massGrams: (4 * 3.7 * 5) / 0.15 } });
  const unknown = findingOf("temperature-follows", { ...risingBy(20), pack: { massGrams: null } });
  expect(unknown.observed).toBeCloseTo(known.observed as number, 9);
});

test("a probe that lags and warms only after the load follows", () => {
  const longer = Float64Array.from({ length: 200 }, (_, i) => i);
  const late = longer.map((t) => (t <= 100 ? 25 : 25 + Math.min(t - 100, 20)));
  const run = {
    trace: {
      time: longer,
      voltage: longer.map(() => 14),
      current: longer.map((t) => (t <= 100 ? 100 : 0)),
      temperature: late,
    },
  };
  expect(findingOf("temperature-follows", { run }).outcome).toBe("pass");
});
