import { describe, expect, it } from "@jest/globals";
import fc from "fast-check";
import { stretchesOf } from "./predict.js";
import { durationOf, MAX_STRETCHES, MAX_USE_S, MIN_STEP_S, USUAL_RESERVE } from "./use.js";
import { toUse } from "./use-of-log.js";

const series = (length: number, hz: number, of: (t: number) => number) =>
  Float64Array.from({ length }, (_, i) => of(i / hz));

it("makes steps of what was drawn, and leaves out the rest before and after", () => {
  const time = series(4001, 100, (t) => t);
  const current = series(4001, 100, (t) => (t < 5 || t >= 30 ? 0 : t < 15 ? 80 : 20));
  const { steps } = toUse({ time, voltage: time, current }, "current");
  const seconds = steps.reduce((sum, step) => sum + step.seconds, 0);
  expect(Math.abs(seconds - 25)).toBeLessThan(0.6);
  expect(steps.length).toBeLessThan(8);
  expect(steps.find(({ currentA }) => Math.abs((currentA as number) - 80) < 0.01)?.seconds).toBeGreaterThan(9);
});

it("asks for the power where that is wanted", () => {
  const log = { time: [0, 10, 20], current: [10, 10, 10] };
  expect(toUse({ ...log, voltage: [16, 16, 16] }, "power").steps).toEqual([{ seconds: 20, powerW: 160 }]);
});

it.each([
  ["log-too-short", "one sample", [0], [5]],
  ["log-too-short", "an instant", [0, 0.04], [5, 5]],
  ["log-no-load", "rest", [0, 1, 2], [0, 0, 0]],
  ["log-no-load", "charging alone", [0, 1, 2], [-5, -5, -5]],
])("is %s for a log of %s", (code, _, time, current) => {
  expect(() => toUse({ time, current, voltage: time }, "current")).toThrow(expect.objectContaining({ code }));
});

// Whatever the log, the charge of the steps is that of the log by the trapezoidal rule, less the rests that were cut off.
it("draws the charge that was logged, of whatever log", () => {
  const sample = fc.tuple(
    fc.double({ min: 0.001, max: 30, noNaN: true }),
    fc.double({ min: 0, max: 200, noNaN: true }),
  );
  fc.assert(
    fc.property(fc.array(sample, { minLength: 2, maxLength: 300 }), (samples) => {
      let now = 0;
      const time = samples.map(([h]) => {
        now += h;
        return now;
      });
      const current = samples.map(([, amps], i) => (i === 5 ? 150 : amps));
      let charge = 0;
      for (let i = 1; i < time.length; i++) {
        charge +=
          (((current[i] as number) + (current[i - 1] as number)) / 2) * ((time[i] as number) - (time[i - 1] as number));
      }
      fc.pre(charge > 1e-3 && now - (time[0] as number) >= MIN_STEP_S);
      const { steps } = toUse({ time, current, voltage: time }, "current");
      const drawn = steps.reduce((sum, { seconds, currentA }) => sum + seconds * (currentA as number), 0);
      const length = now - (time[0] as number);
      expect(Math.abs(drawn - charge)).toBeLessThanOrEqual(0.005 * Math.max(...current) * length + 1e-5 * charge);
    }),
    { numRuns: 200, seed: 7 },
  );
});

describe("a log as long as a use may be", () => {
  const HZ = 4;
  const noise = (i: number) => ((i * 7919) % 1009) / 1009;
  /** What was drawn in each quarter of a second, A. */
  const loads: [string, (i: number) => number][] = [
    ["steady, with one burst", (i) => (i === 100_000 || i === 100_001 ? 200 : 30)],
    ["noisy, with a burst an hour", (i) => (i % 14_400 < 4 ? 180 : 40 + 20 * noise(i))],
    ["of a burst every 10 s", (i) => (i % 40 < 2 ? 150 : 5)],
    ["of eleven loads in turn", (i) => 10 * (i % 11)],
    ["of slow waves", (i) => 60 + 50 * Math.sin(i / 500)],
  ];

  it.each(loads)("%s, makes a use that predictions take, with its peak and its charge", (_, amperes) => {
    const size = HZ * MAX_USE_S;
    const time = series(size + 1, HZ, (t) => t);
    const current = Float64Array.from(time, (t) => amperes(Math.floor(t * HZ)));
    const { steps, remarks } = toUse({ time, voltage: time, current }, "current");
    expect(stretchesOf({ steps, repeats: 1, reserve: USUAL_RESERVE })).toBeLessThanOrEqual(MAX_STRETCHES.prediction);
    expect(JSON.stringify(steps).length).toBeLessThan(0.7 * 256 * 1024);
    expect(durationOf({ steps, repeats: 1 })).toBeLessThanOrEqual(MAX_USE_S);
    const drawn = steps.reduce((sum, { seconds, currentA }) => sum + seconds * (currentA as number), 0);
    let charge = 0;
    for (let i = 1; i <= size; i++) charge += ((current[i] as number) + (current[i - 1] as number)) / 2 / HZ;
    expect(Math.abs(drawn / charge - 1)).toBeLessThan(1e-4);
    // Means of a quarter of a second: what a burst of one is, is the mean of its own two samples.
    const means = Array.from({ length: size }, (_, i) => ((current[i] as number) + (current[i + 1] as number)) / 2);
    const logged = means.reduce((most, one) => Math.max(most, one), 0);
    const peak = steps.reduce((most, { currentA }) => Math.max(most, currentA as number), 0);
    expect(peak / logged).toBeGreaterThan(0.9);
    if (peak < 0.99 * logged) {
      expect(remarks).toContainEqual({
        kind: expect.stringMatching(/^loads-/),
        message: expect.stringContaining(`${Number(peak.toPrecision(3))} A in the steps`),
      });
    }
  });

  it("keeps its bursts where the pack rests for a day around them", () => {
    const time = series(26 * 3600 + 1, 1, (t) => t);
    const current = time.map((t) => (t === 50_000 || t === 50_100 ? 90 : t > 50_000 && t < 50_100 ? 10 : 0));
    const { steps } = toUse({ time, voltage: time, current }, "current");
    expect(Math.abs(durationOf({ steps, repeats: 1 }) - 101)).toBeLessThan(1.5);
    expect(Math.max(...steps.map(({ currentA }) => currentA as number))).toBeGreaterThan(75);
  });
});

describe("what a log does not show", () => {
  const sampled = (time: readonly number[]) => toUse({ time, voltage: time, current: time.map(() => 20) }, "current");
  const until = (seconds: number, every = 0.5) => Array.from({ length: seconds / every + 1 }, (_, i) => i * every);
  const kindsOf = ({ remarks }: ReturnType<typeof sampled>) => remarks.map(({ kind }) => kind);

  // 30 s of 90 s were not logged, under a steady load.
  it("is told of where it has gaps, with how much of the use they are", () => {
    const { remarks } = sampled([...until(30), ...until(30).map((t) => t + 60)]);
    expect(remarks).toEqual([
      { kind: "gaps-bridged", message: expect.stringMatching(/a gap of 30 s.* 33.3 % of the charge/) },
    ]);
  });

  it("is no gap where samples are only a little late, and where all are that far apart", () => {
    expect(kindsOf(sampled([...until(30), ...until(30).map((t) => t + 32)]))).toEqual([]);
    expect(kindsOf(sampled(until(600, 10)))).toEqual(["sampled-slowly"]);
    expect(kindsOf(sampled([...until(600, 10), 700]))).toEqual(["sampled-slowly", "gaps-bridged"]);
  });

  it("is not told of outside the use", () => {
    const time = [...until(30), ...until(30).map((t) => t + 600)];
    const current = time.map((t) => (t < 610 ? 0 : 20));
    const { steps, remarks } = toUse({ time, voltage: time, current }, "current");
    expect(remarks).toEqual([]);
    expect(durationOf({ steps, repeats: 1 })).toBeCloseTo(20.5, 1);
  });
});
