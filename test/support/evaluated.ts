import { evaluate, type RunFacts } from "../../src/core/evaluate.js";
import type { Evaluation, Figure, Trace } from "../../src/core/model.js";
import { FULL_LOAD_1 } from "../../src/core/protocol/documents/full-load-1.js";
import { csvOf } from "./traces.js";

/** 4 cells of 5000 mAh and 500 g on a bench that errs as little as a good one. */
export const FACTS: RunFacts = {
  pack: {
    chemistry: "lipo",
    series: 4,
    parallel: 1,
    ratedCapacityMah: 5000,
    labelContinuousC: 60,
    labelBurstC: 120,
    massGrams: 500,
  },
  bench: {
    load: { kind: "throttle" },
    voltage: { percent: 0.1, offset: 0.005 },
    current: { percent: 0.5, offset: 0.1 },
    temperature: { offset: 1 },
    sense: { point: "pack" },
  },
  conditions: { ambientC: 21, restMinutes: 30, cycles: 12, setpointA: null },
};

export async function evaluateText(text: string | Uint8Array, facts: RunFacts = FACTS): Promise<Evaluation> {
  return (await evaluate([Buffer.from(text)], facts, FULL_LOAD_1)).evaluation;
}

export const evaluateTrace = (trace: Trace, facts: RunFacts = FACTS): Promise<Evaluation> =>
  evaluateText(csvOf(trace), facts);

/** The figure under the run's own load, or under the reference load; throws when it is absent. */
export function figureOf(evaluation: Evaluation, key: string, side: "own" | "translated" = "own"): Figure {
  const found = evaluation.figures.find(
    (figure) => figure.key === key && (figure.basis === "translated") === (side === "translated"),
  );
  if (!found) throw new Error(`no figure ${key} (${side})`);
  return found;
}

export const figureKeys = (evaluation: Evaluation, side: "own" | "translated"): string[] =>
  evaluation.figures.filter(({ basis }) => (basis === "translated") === (side === "translated")).map(({ key }) => key);
