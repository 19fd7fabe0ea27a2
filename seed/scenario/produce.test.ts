import { describe, expect, test } from "@jest/globals";
import { CELL_VOLTS } from "../simulator/chemistry.js";
import { simulateDischarge } from "../simulator/discharge.js";
import { type TrueFigures, trueFigures } from "../simulator/truth.js";
import { BENCHES } from "./benches.js";
import { PACKS } from "./packs.js";
import { planOf, produceRun } from "./produce.js";
import { RUNS, type ScenarioRun } from "./runs.js";

const fullLoad = RUNS.filter(({ protocol, copyOf }) => protocol === "full-load" && copyOf === null);
/** Ranges are asked of the solutions here, and no digits. */
const STEP_S = 0.02;
const coarsePlanOf = (run: ScenarioRun) => ({ ...planOf(run), stepSeconds: STEP_S });
const trueOwn = new Map(fullLoad.map((run) => [run.key, trueFigures(coarsePlanOf(run), PACKS[run.pack]).own]));
const own = (key: string) => trueOwn.get(key) as TrueFigures;

test("a run gives the same bytes each time, and no two runs the same log, none above 1 MiB", () => {
  const [first] = RUNS;
  if (first === undefined) throw new Error("The scenario has no runs");
  const produced = RUNS.map(produceRun);
  expect(produceRun(first)).toEqual(produced[0]);
  const logs = produced.map(({ log }) => log);
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

test("the faults are there: early end, eased load, heat", () => {
  const find = (holds: (run: (typeof RUNS)[number]) => boolean) => {
    const run = fullLoad.find(holds);
    if (run === undefined) throw new Error("The scenario lacks this fault");
    return { run, plan: planOf(run), figures: own(run.key) };
  };
  expect(find((run) => run.fault.stopVoltsPerCell !== undefined).figures).not.toHaveProperty("power-cutoff");
  const { run, plan, figures } = find((run) => run.fault.eased !== undefined);
  const { time, current } = simulateDischarge({ ...plan, stepSeconds: STEP_S });
  const { fromSeconds, toSeconds } = run.fault.eased as { fromSeconds: number; toSeconds: number };
  expect(figures.runtime).toBeGreaterThan(toSeconds + 30);
  const middle = time.findIndex((t) => t >= (fromSeconds + toSeconds) / 2);
  expect((current[middle] as number) / (figures["current-10s"] as number)).toBeLessThan(0.5);
  const hot = find((run) => run.fault.wear !== undefined);
  expect(hot.plan.startC + (hot.figures["temperature-rise"] as number)).toBeGreaterThan(72);
});

test("most benches let the log run on for 8 s after the load, and one stops it early", () => {
  const short = fullLoad.filter((run) => planOf(run).afterSeconds < 8);
  expect([...new Set(short.map(({ bench }) => bench))]).toEqual(["gravelnotes"]);
});
