import { describe, expect, test } from "@jest/globals";
import { CELL_VOLTS } from "../simulator/chemistry.js";
import { type Truth, trueFigures } from "../simulator/truth.js";
import { BENCHES } from "./benches.js";
import { PACKS } from "./packs.js";
import { planOf, produceRun } from "./produce.js";
import { RUNS } from "./runs.js";

const fullLoad = RUNS.filter(({ protocol, copyOf }) => protocol === "full-load" && copyOf === null);
const truths = new Map<string, Truth>(fullLoad.map((run) => [run.key, trueFigures(planOf(run), PACKS[run.pack])]));
const own = (key: string) => (truths.get(key) as Truth).own;

test("a run gives the same bytes each time, and no two runs the same log, none above 1 MiB", () => {
  const [first] = RUNS;
  if (first === undefined) throw new Error("The scenario has no runs");
  expect(produceRun(first)).toEqual(produceRun(first));
  const logs = RUNS.map((run) => produceRun(run).log);
  expect(new Set(logs.map((log) => Buffer.from(log).toString("base64"))).size).toBe(RUNS.length);
  for (const log of logs) expect(log.byteLength).toBeLessThan(2 ** 20);
});

describe("full-load runs that are meant to conform", () => {
  const conforming = fullLoad.filter((run) => run.conforming);

  test.each(conforming.map((run) => [`${run.key} ${run.tester} ${run.pack}`, run] as const))("%s", (_, run) => {
    const facts = PACKS[run.pack];
    const plan = planOf(run);
    const figures = own(run.key);
    const ratedA = facts.ratedCapacityMah / 1000;
    const restVoltsPerCell = plan.pack.openCircuitVolts(plan.chargeMissingC) / facts.series;
    expect(restVoltsPerCell - CELL_VOLTS[facts.chemistry].full).toBeGreaterThan(-0.035);
    expect(restVoltsPerCell - CELL_VOLTS[facts.chemistry].full).toBeLessThan(0.01);
    expect((figures["current-10s"] as number) / ratedA).toBeGreaterThan(15);
    expect((figures["current-10s"] as number) / ratedA).toBeLessThan(25);
    expect(figures["power-cutoff"]).toBeDefined();
    expect(figures["capacity-share"]).toBeGreaterThan(0.8);
    expect(figures["capacity-share"]).toBeLessThan(1.02);
    expect(plan.startC + (figures["temperature-rise"] as number)).toBeLessThan(66);
    expect(plan.startC).toBeGreaterThan(16);
    expect(BENCHES[run.bench].rateHz).toBeGreaterThanOrEqual(10);
  });
});

test("the faults are there: early end, light load, heat", () => {
  const find = (holds: (run: (typeof RUNS)[number]) => boolean) => {
    const run = fullLoad.find(holds);
    if (run === undefined) throw new Error("The scenario lacks this fault");
    return { run, plan: planOf(run), figures: own(run.key), facts: PACKS[run.pack] };
  };
  expect(find((run) => run.fault.stopVoltsPerCell !== undefined).figures).not.toHaveProperty("power-cutoff");
  const light = find((run) => run.loadIt === 10);
  const reference = (truths.get(light.run.key) as Truth).reference["current-10s"] as number;
  expect(reference / (light.figures["current-10s"] as number)).toBeGreaterThan(1.5);
  const hot = find((run) => run.fault.wear !== undefined);
  expect(hot.plan.startC + (hot.figures["temperature-rise"] as number)).toBeGreaterThan(72);
});
