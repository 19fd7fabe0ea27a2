import { beforeAll, describe, expect, test } from "@jest/globals";
import { evaluate } from "../../src/core/evaluate.js";
import type { Evaluation, Figure } from "../../src/core/model.js";
import { PROTOCOLS } from "../../src/core/protocol/index.js";
import { type Truth, trueFigures } from "../simulator/truth.js";
import { BENCHES } from "./benches.js";
import { PACKS } from "./packs.js";
import { planOf, produceRun } from "./produce.js";
import { RUNS, type ScenarioRun } from "./runs.js";

/** The required rules that each faulty run fails, and no other. */
const FAULTS: Readonly<Record<string, readonly string[]>> = {
  "run-33": ["sampling-rate"],
  "run-34": ["largest-gap"],
  "run-35": ["full-charge"],
  "run-36": ["start-temperature"],
  "run-37": ["rest-time"],
  "run-38": ["cutoff-reached"],
  "run-39": ["load-level"],
  "run-40": ["load-rise"],
  "run-41": ["current-accuracy", "voltage-accuracy"],
  "run-42": ["temperature-limit"],
};

const STEADY_FIGURES = ["power-10s", "power-30s", "voltage-30s", "current-30s", "capacity", "energy"];

const evaluations = new Map<ScenarioRun, Evaluation>();
const truths = new Map<ScenarioRun, Truth>();

beforeAll(async () => {
  const protocol = PROTOCOLS.find(({ key, version }) => key === "full-load" && version === 1);
  if (protocol === undefined) throw new Error("The protocol full-load 1 is missing");
  for (const run of RUNS) {
    const { log, ...conditions } = produceRun(run);
    const facts = { pack: PACKS[run.pack], bench: BENCHES[run.bench].facts, conditions };
    evaluations.set(run, (await evaluate([log], facts, protocol)).evaluation);
    truths.set(run, trueFigures(planOf(run), PACKS[run.pack]));
  }
}, 120_000);

const each = (runs: readonly ScenarioRun[]) =>
  runs.map((run) => [`${run.key} ${run.tester} ${run.pack}`, run] as const);
const conforming = RUNS.filter((run) => run.conforming);

test.each(each(RUNS))("%s has the verdict it is meant to have, for the reason it is meant to", (_, run) => {
  const { verdict, findings } = evaluations.get(run) as Evaluation;
  expect(verdict === "nonconforming").toBe(!run.conforming);
  const failed = findings.filter(({ severity, outcome }) => severity === "required" && outcome === "fail");
  expect(failed.map(({ rule }) => rule).sort()).toEqual(FAULTS[run.key] ?? []);
});

describe("figures of the conforming runs hold the noise-free ones within 3 standard uncertainties", () => {
  const outside = (figures: readonly Figure[], truth: Truth["own"], translated: boolean) =>
    STEADY_FIGURES.flatMap((key) => {
      const figure = figures.find((f) => f.key === key && (f.basis === "translated") === translated);
      if (figure === undefined) return [`${key} is missing`];
      const error = figure.value - (truth[key] as number);
      return Math.abs(error) <= 3 * figure.uncertainty ? [] : [`${key} ${error / figure.uncertainty}`];
    });

  test.each(each(conforming))("%s, under its own load", (_, run) => {
    expect(outside((evaluations.get(run) as Evaluation).figures, (truths.get(run) as Truth).own, false)).toEqual([]);
  });

  test.each(each(conforming))("%s, under the reference load", (_, run) => {
    const { reference } = truths.get(run) as Truth;
    expect(outside((evaluations.get(run) as Evaluation).figures, reference, true)).toEqual([]);
  });
});
