import { expect, test } from "@jest/globals";
import { EXACT_BENCH } from "./bench.js";
import { laggingCurrent, slowFiveHertz, zeroedAtRest } from "./honest-runs.js";
import { resistance, STANDARD_LOADS_A, standardLoadOhm } from "./load.js";
import { drawPack } from "./populations.js";
import { simulateLog } from "./simulate-log.js";

const pack = drawPack("B", "lipo", "logged");
const load = resistance(standardLoadOhm(pack.facts.series, pack.suitedLoadA));
const logged = (bench = EXACT_BENCH, seed = "one") => simulateLog({ pack, load, bench, seed });

test("the same seed gives the same log, another one another", () => {
  expect(logged().csv).toBe(logged().csv);
  expect(logged(EXACT_BENCH, "two").csv).not.toBe(logged().csv);
});

test("a run under the standard load itself has the figures of that load, but for the rise of its own", () => {
  const { own, standard } = logged({ ...EXACT_BENCH, rampSeconds: 0 }).truth;
  const there = standard(pack.suitedLoadA);
  expect(Object.keys(there ?? {}).length).toBeGreaterThan(20);
  for (const [key, value] of Object.entries(there ?? {})) expect(own?.[key]).toBeCloseTo(value, 9);
});

// R10 of ISO 3, from memory: ten steps a decade, neighbours 10^(1/10) apart but for rounding.
test("the standard loads are the preferred numbers of R10", () => {
  expect(STANDARD_LOADS_A.slice(0, 11)).toEqual([1, 1.25, 1.6, 2, 2.5, 3.15, 4, 5, 6.3, 8, 10]);
  const steps = STANDARD_LOADS_A.slice(1).map((load, k) => load / (STANDARD_LOADS_A[k] as number));
  for (const step of steps) expect(Math.abs(step / 10 ** 0.1 - 1)).toBeLessThan(0.02);
});

test("a lagging current is that of part of a sample earlier, and the voltage is not", () => {
  const bench = { ...EXACT_BENCH, rampSeconds: 0.5, rateHz: 10 };
  const [prompt, late] = [logged(bench), logged(laggingCurrent(bench, 0.6))];
  expect(late.log.voltage).toEqual(prompt.log.voltage);
  const rising = prompt.log.current.findIndex((amperes) => amperes > 0.1 * pack.suitedLoadA);
  expect(late.log.current[rising]).toBeLessThan(prompt.log.current[rising] as number);
});

test("a 5 Hz logger at 4.94 Hz writes a row each 0.2024 s", () => {
  const { time } = logged(slowFiveHertz(EXACT_BENCH)).log;
  expect((time[100] as number) - (time[99] as number)).toBeCloseTo(1 / 4.94, 9);
});

test("a zeroed sensor's rest reads exactly 0 and its load is not moved", () => {
  const offset = { ...EXACT_BENCH, current: { ...EXACT_BENCH.current, offset: 0.4, noise: 0.05 } };
  const { log, course } = logged(zeroedAtRest(offset));
  const rest = log.current.filter((_, k) => (log.time[k] as number) < EXACT_BENCH.restSeconds - 0.1);
  expect(new Set(rest)).toEqual(new Set([0]));
  const k = log.time.findIndex((t) => t > EXACT_BENCH.restSeconds + 20);
  const near = course.current[course.time.findIndex((t) => t >= 20)] as number;
  expect(Math.abs((log.current[k] as number) - near)).toBeLessThan(0.5);
});
