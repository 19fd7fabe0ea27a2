import { describe, expect, test } from "@jest/globals";
import { type HonestKind, type HonestResult, honestRun } from "./honest-run.js";
import { LADDER_STEPS, LAGGING, RATED, SHORT_PULSES } from "./kinds.js";

// Truth is the simulator's, without noise; benches keep to what they state.
const runs = (kind: HonestKind, count: number, firstSeed: number): Promise<HonestResult[]> =>
  Promise.all(Array.from({ length: count }, (_, i) => honestRun(kind, firstSeed + i)));

const figure = ({ evaluation }: HonestResult, key: string) =>
  evaluation.figures.find((one) => one.key === key && one.basis !== "translated");

describe("honest benches", () => {
  test("two pulses of 1.04 to 1.09 s at 10 to 12 Hz give a resistance and conform", async () => {
    const all = await runs(SHORT_PULSES, 40, 5000);
    expect(all.flatMap(({ blocking }) => blocking)).toEqual([]);
    for (const run of all) {
      const ohm = figure(run, "resistance-two-pulse");
      expect(ohm?.value).toBeGreaterThan(0);
      // Series resistance and both relaxations are the most that it can be; the sensors' gain comes on top.
      expect(ohm?.value).toBeLessThan(1000 * run.pack.settledOhm * 1.2 + 2 * (ohm?.uncertainty ?? 0));
    }
  }, 300_000);

  test("a current that lags the voltage by part of a sample, at 4.91 Hz and more, ends no run early", async () => {
    const all = await runs(LAGGING, 40, 6000);
    const early = all.filter(({ evaluation }) => evaluation.trace.stop !== "cutoff");
    expect(early.length).toBeLessThanOrEqual(1);
    // A pack that gets too hot is no fault of the bench.
    const blocking = all.flatMap((run) => run.blocking).filter((rule) => rule !== "temperature-limit");
    expect(blocking.length).toBeLessThanOrEqual(1);
  }, 300_000);

  test("at 0.2 It, offsets within what the bench states are subtracted, and U covers the capacity", async () => {
    const all = await runs(RATED, 20, 7000);
    expect(all.flatMap(({ blocking }) => blocking)).toEqual([]);
    const outside = all.filter((run) => {
      const capacity = figure(run, "capacity");
      if (!capacity || run.trueCapacityMah === null) return true;
      return Math.abs(capacity.value - run.trueCapacityMah) > 2 * capacity.uncertainty;
    });
    expect(outside.length).toBeLessThanOrEqual(2);
  }, 300_000);

  test("a step of a ladder passes when it ended at the cutoff, and fails when it ended at the limit by its own probe", async () => {
    const all = await runs(LADDER_STEPS, 80, 8000);
    const passes = (run: HonestResult) => run.evaluation.trace.cutoffS !== null && !figure(run, "time-to-limit");
    const hot = all.filter(({ endedByTemperature }) => endedByTemperature);
    expect(hot.length).toBeGreaterThan(8);
    const wrong = all.filter((run) => passes(run) === run.endedByTemperature || run.blocking.includes("step-ended"));
    expect(wrong.length).toBeLessThanOrEqual(2);
  }, 300_000);
});
