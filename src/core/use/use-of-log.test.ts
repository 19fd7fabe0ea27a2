import { expect, it } from "@jest/globals";
import fc from "fast-check";
import { MIN_STEP_S } from "./use.js";
import { stepsOfLog } from "./use-of-log.js";

const series = (length: number, hz: number, of: (t: number) => number) =>
  Float64Array.from({ length }, (_, i) => of(i / hz));

it("makes steps of what was drawn, and leaves out the rest before and after", () => {
  const time = series(4001, 100, (t) => t);
  const current = series(4001, 100, (t) => (t < 5 || t >= 30 ? 0 : t < 15 ? 80 : 20));
  const steps = stepsOfLog({ time, voltage: time, current }, "current");
  const seconds = steps.reduce((sum, step) => sum + step.seconds, 0);
  expect(Math.abs(seconds - 25)).toBeLessThan(0.6);
  expect(steps.length).toBeLessThan(8);
  expect(steps.find(({ currentA }) => Math.abs((currentA as number) - 80) < 0.01)?.seconds).toBeGreaterThan(9);
});

it("asks for the power where that is wanted", () => {
  const log = { time: [0, 10, 20], current: [10, 10, 10] };
  expect(stepsOfLog({ ...log, voltage: [16, 16, 16] }, "power")).toEqual([{ seconds: 20, powerW: 160 }]);
});

it.each([
  ["log-too-short", "one sample", [0], [5]],
  ["log-too-short", "an instant", [0, 0.04], [5, 5]],
  ["log-no-load", "rest", [0, 1, 2], [0, 0, 0]],
  ["log-no-load", "charging alone", [0, 1, 2], [-5, -5, -5]],
])("is %s for a log of %s", (code, _, time, current) => {
  expect(() => stepsOfLog({ time, current, voltage: time }, "current")).toThrow(expect.objectContaining({ code }));
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
      const steps = stepsOfLog({ time, current, voltage: time }, "current");
      const drawn = steps.reduce((sum, { seconds, currentA }) => sum + seconds * (currentA as number), 0);
      const length = now - (time[0] as number);
      expect(Math.abs(drawn - charge)).toBeLessThanOrEqual(0.005 * Math.max(...current) * length + 1e-5 * charge);
    }),
    { numRuns: 200, seed: 7 },
  );
});
