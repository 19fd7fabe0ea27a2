import { describe, expect, test } from "@jest/globals";
import { capacityRun, twoPulseRun } from "./honest-runs.js";
import { drawLadder } from "./ladder.js";

describe.each([
  ["A", "lipo"],
  ["B", "liion"],
] as const)("a ladder of population %s, %s", (population, chemistry) => {
  const ladder = drawLadder({ population, chemistry, name: "laws", probeNoiseK: 0.05, rateHz: 2 });
  const { steps, truth, bench } = ladder;

  test("has steps that reach the cutoff below steps that the bench's probe ended", () => {
    expect(truth.verifiedA).not.toBeNull();
    expect(truth.lowestFailingA).not.toBeNull();
    expect(truth.verifiedA).toBeLessThan(truth.lowestFailingA as number);
    for (const { setpointA, endedBy } of steps) {
      expect([setpointA, endedBy]).toEqual([
        setpointA,
        setpointA > (truth.verifiedA as number) ? "temperature" : "cutoff",
      ]);
    }
  });

  test("ends a failing step where its own probe, and not the surface itself, reads 60 degC", () => {
    const offset = bench.temperature?.offset ?? Number.NaN;
    for (const { endedBy, warmestC } of steps) {
      if (endedBy === "temperature") expect(Math.abs(warmestC + offset - 60)).toBeLessThan(0.3);
      else expect(warmestC + offset).toBeLessThan(60.1);
    }
  });

  test("meets limit and cutoff together between the last step that passes and the first that fails, but for the probe's error", () => {
    expect(truth.coincidenceA).toBeGreaterThan(0.93 * (truth.verifiedA as number));
    expect(truth.coincidenceA).toBeLessThan(1.07 * (truth.lowestFailingA as number));
  });
});

test("a capacity test draws 0.2 It, with an offset that the bench states", () => {
  const { facts, truth, log } = capacityRun({ population: "A", chemistry: "liion", name: "laws" });
  const amperes = facts.pack.ratedCapacityMah / 5000;
  expect(truth.own?.["current-mean"]).toBeCloseTo(amperes, 3);
  const rest = log.current[5] as number;
  expect(Math.abs(rest)).toBeLessThanOrEqual(facts.bench.current.offset + 0.02);
  expect(truth.own?.capacity).toBeGreaterThan(0.9 * facts.pack.ratedCapacityMah);
});

test("two pulses of 0.2 It and 1 It, the second 1.04 to 1.09 s long, show a resistance of the pack's size", () => {
  const { run, secondPulseSeconds, milliohm } = twoPulseRun({ population: "B", chemistry: "lipo", name: "laws" });
  expect(secondPulseSeconds).toBeGreaterThan(1.04);
  expect(run.course.offSeconds).toBeCloseTo(10 + secondPulseSeconds, 2);
  expect(Math.max(...run.log.current)).toBeCloseTo(run.facts.pack.ratedCapacityMah / 1000, 1);
  expect(milliohm).toBeGreaterThan(0);
});
