import { beforeAll, expect, it } from "@jest/globals";
import type { PackRun } from "../../src/core/use/model/pack-run.js";
import { fitAndValidate, type PackFit } from "../../src/core/use/validate.js";
import { type SimulatedRecord, simulateRecord, THREE_TESTERS } from "./pooled-pack.js";

let record: SimulatedRecord;
let fit: PackFit;
beforeAll(() => {
  record = simulateRecord("B", "lipo", "p2", THREE_TESTERS);
  fit = fitAndValidate(record.facts, record.runs);
});

it("predicts each run from the others, and publishes how far off that is", () => {
  const { runs, summary } = fit.validation;
  expect(runs.map(({ runId }) => runId).sort()).toEqual(record.runs.map(({ id }) => id));
  expect(summary?.voltagePercentRms).toBeLessThan(1);
  expect(Math.max(...runs.map(({ timePercent }) => Math.abs(timePercent as number)))).toBeLessThan(4.5);
  expect(fit.model).toMatchObject({ grade: "established", runs: 6, testers: 3, validation: summary });
});

it("finds what the specimens' capacities are to each other", () => {
  const mean = record.specimens.reduce((sum, { cell }) => sum + Math.log(cell.chargeCoulomb), 0) / 3;
  // Beside the capacity itself a scale holds the gain of the tester's current, which nothing tells from it.
  record.specimens.forEach(({ cell }, k) => {
    const found = fit.model?.specimens.find(({ specimenId }) => specimenId === `specimen ${k}`)?.capacity as number;
    expect(Math.abs(Math.log(found) - (Math.log(cell.chargeCoulomb) - mean))).toBeLessThan(0.02);
  });
});

it("is the same in whatever order the runs come", () => {
  const turned = fitAndValidate(record.facts, record.runs.toReversed());
  expect(JSON.stringify(turned)).toBe(JSON.stringify(fit));
});

const without = (change: (run: PackRun, n: number) => PackRun | null) =>
  fitAndValidate(
    record.facts,
    record.runs.flatMap((run, n) => change(run, n) ?? []),
  );

it.each<[string, (run: PackRun, n: number) => PackRun | null, string[]]>([
  ["one tester", (run) => ({ ...run, testerId: "tester 0" }), ["testers"]],
  ["equal loads", (run, n) => (n % 2 === 0 ? run : null), ["currents"]],
  ["no rest", (run) => ({ ...run, grid: { ...run.grid, restVolts: null } }), ["rest-voltage"]],
  ["no run to the cutoff", (run) => ({ ...run, reachedCutoff: false }), ["cutoff", "currents"]],
  ["no run at all", () => null, ["testers", "cutoff", "currents", "rest-voltage", "recovery-or-probe"]],
])("says what is missing for a model: %s", (_, change, reasons) => {
  const { model, missing } = without(change);
  expect([model, missing.map(({ reason }) => reason)]).toEqual([null, reasons]);
});

it("is provisional with two testers", () => {
  expect(without((run, n) => (n < 4 ? run : null)).model?.grade).toBe("provisional");
});

it("tells no change with age or warmth that the runs do not span, and one that they do", () => {
  const unprobed = without((run, n) => (n === 0 ? run : { ...run, grid: { ...run.grid, temperature: null } }));
  expect(unprobed.model?.covariates).toEqual({
    referenceCycles: null,
    lnCapacityPer100Cycles: null,
    lnResistancePer100Cycles: null,
    lnCapacityPer10K: null,
  });
  // The same runs said to be of ever older specimens: what was found of their capacities is then partly age.
  const aged = without((run, n) => ({ ...run, cycles: 20 * n })).model?.covariates;
  expect(aged?.lnCapacityPer100Cycles?.uncertainty).toBeGreaterThan(0);
  expect(aged?.lnResistancePer100Cycles?.uncertainty).toBeGreaterThan(0);
  expect(aged?.referenceCycles).toBe(50);
});
