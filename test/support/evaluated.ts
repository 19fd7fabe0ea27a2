import { evaluate, type RunFacts } from "../../src/core/evaluate.js";
import type { Evaluation, Figure, Trace } from "../../src/core/model.js";
import { FULL_LOAD_1 } from "../../src/core/protocol/documents/full-load-1.js";
import { FACTS } from "./facts.js";
import { csvOf } from "./traces.js";

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
