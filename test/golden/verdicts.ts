import { beforeAll, describe, expect, test } from "@jest/globals";
import { PACKS } from "../../seed/scenario/packs.js";
import { planOf } from "../../seed/scenario/produce.js";
import { RUNS, type ScenarioRun } from "../../seed/scenario/runs.js";
import { type TrueFigures, type Truth, trueFigures } from "../../seed/simulator/truth.js";
import { copyEvidence } from "../../src/core/copies/evidence.js";
import { hashesToIndex, hashesToQuery } from "../../src/core/copies/hashes.js";
import { sharedLags } from "../../src/core/copies/shared-lags.js";
import type { Evaluation, Figure, Trace } from "../../src/core/model.js";
import { evaluatedDemo } from "./evaluated-demo.js";

/** The required rules that each faulty run fails, and no other. */
const FAULTS: Readonly<Record<string, readonly string[]>> = {
  "run-33": ["sampling-rate"],
  "run-34": ["largest-gap"],
  "run-35": ["full-charge"],
  "run-36": ["start-temperature"],
  "run-37": ["rest-time"],
  "run-38": ["cutoff-reached"],
  "run-39": ["load-held"],
  "run-40": ["load-rise"],
  "run-41": ["current-accuracy", "voltage-accuracy"],
  "run-42": ["temperature-limit"],
};

/** Of the solutions that figures are held to: against steps of 5 ms these differ by at most 0.04 standard uncertainties. */
const TRUTH_STEP_S = 0.02;
const STEADY_FIGURES = ["power-10s", "power-30s", "voltage-30s", "current-30s", "capacity", "energy"];

const evaluations = new Map<ScenarioRun, Evaluation>();
/** Of the full-load runs. */
const traces = new Map<string, Trace>();
const truths = new Map<ScenarioRun, Truth>();
/** What the scenario means its runs to show. */
export function testVerdicts(): void {
  beforeAll(async () => {
    for (const [run, { evaluation, trace }] of await evaluatedDemo()) {
      evaluations.set(run, evaluation);
      if (run.protocol === "full-load") traces.set(run.key, trace);
      if (hasTruth(run)) truths.set(run, trueFigures({ ...planOf(run), stepSeconds: TRUTH_STEP_S }, PACKS[run.pack]));
    }
  });

  const each = (runs: readonly ScenarioRun[]) =>
    runs.map((run) => [`${run.key} ${run.tester} ${run.pack}`, run] as const);
  const hasTruth = ({ protocol, copyOf }: ScenarioRun) => protocol === "full-load" && copyOf === null;
  const conforming = RUNS.filter((run) => run.conforming && hasTruth(run));

  test.each(each(RUNS))("%s has the verdict it is meant to have, for the reason it is meant to", (_, run) => {
    const { verdict, findings } = evaluations.get(run) as Evaluation;
    expect(verdict === "nonconforming").toBe(!run.conforming);
    const failed = findings.filter(({ severity, outcome }) => severity === "required" && outcome === "fail");
    expect(failed.map(({ rule }) => rule).sort()).toEqual(FAULTS[run.key] ?? []);
  });

  test.each(["hairpin", "keelbench"])("the ladder of %s ends at the temperature limit, and nowhere else", (tester) => {
    const steps = RUNS.filter((run) => run.protocol === "current-ladder" && run.tester === tester);
    const stops = steps.map((run) => evaluations.get(run)?.trace.stop);
    expect(stops).toEqual(["cutoff", "cutoff", "cutoff", "cutoff", "temperature-limit"]);
  });

  test("both testers find much the same resistance by two pulses", () => {
    const pulses = RUNS.filter((run) => run.protocol === "two-pulse" && run.pack === "slipway");
    const [one, other] = pulses.map((run) =>
      evaluations.get(run)?.figures.find(({ key }) => key === "resistance-two-pulse"),
    ) as [Figure, Figure];
    // Specimens of a pack differ by some 2 % in resistance, and by half a thousandth with each cycle (`specimenModel`).
    const spread = 0.1 * one.value + 3 * Math.hypot(one.uncertainty, other.uncertainty);
    expect(Math.abs(one.value - other.value)).toBeLessThan(spread);
  });

  test("the rated capacity holds the charge of the simulated pack", () => {
    const run = RUNS.find(({ protocol }) => protocol === "rated-capacity") as ScenarioRun;
    const share = evaluations.get(run)?.figures.find(({ key }) => key === "capacity-share")?.value as number;
    expect(Math.abs(share / PACKS[run.pack].trueCapacityShare - 1)).toBeLessThan(0.03);
  });

  test("the copied log is found to be one measurement with its original, and with no other log", () => {
    const copy = RUNS.find(({ copyOf }) => copyOf !== null) as ScenarioRun;
    const trace = traces.get(copy.key) as Trace;
    const seek = hashesToQuery(trace);
    const others = [...traces].filter(([key]) => key !== copy.key);
    const found = others.filter(([, one]) => copyEvidence(one, trace, sharedLags(hashesToIndex(one), seek)).length > 0);
    expect(found.map(([key]) => key)).toEqual([copy.copyOf]);
  });

  describe("figures of the conforming runs hold the noise-free ones within 3 standard uncertainties", () => {
    const outside = (figures: readonly Figure[], truth: TrueFigures, loadA: number | null) =>
      STEADY_FIGURES.flatMap((key) => {
        const figure = figures.find((f) => f.key === key && f.load === loadA);
        if (figure === undefined) return [`${key} is missing`];
        const error = figure.value - (truth[key] as number);
        return Math.abs(error) <= 3 * figure.uncertainty ? [] : [`${key} ${error / figure.uncertainty}`];
      });

    test.each(each(conforming))("%s, under its own load", (_, run) => {
      expect(outside((evaluations.get(run) as Evaluation).figures, (truths.get(run) as Truth).own, null)).toEqual([]);
    });

    test.each(each(conforming))("%s, under each standard load within reach", (_, run) => {
      const { figures } = evaluations.get(run) as Evaluation;
      const loads = new Set(figures.flatMap(({ load }) => load ?? []));
      expect(loads.size).toBeGreaterThanOrEqual(2);
      for (const loadA of loads) {
        expect([loadA, outside(figures, (truths.get(run) as Truth).at(loadA), loadA)]).toEqual([loadA, []]);
      }
    });
  });
}
