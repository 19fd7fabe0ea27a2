import { evaluate, type RunFacts } from "../../src/core/evaluate.js";
import type { Evaluation, Figure, Trace } from "../../src/core/model.js";
import type { ProtocolDocument } from "../../src/core/protocol/document.js";
import { FULL_LOAD_1 } from "../../src/core/protocol/documents/full-load-1.js";
import { FACTS } from "./facts.js";
import { csvOf } from "./traces.js";

export async function evaluateText(
  text: string | Uint8Array,
  facts: RunFacts = FACTS,
  protocol: ProtocolDocument = FULL_LOAD_1,
): Promise<Evaluation> {
  return (await evaluate([Buffer.from(text)], facts, protocol)).evaluation;
}

export const evaluateTrace = (trace: Trace, facts: RunFacts = FACTS): Promise<Evaluation> =>
  evaluateText(csvOf(trace), facts);

/** A figure under the run's own load, or under a standard load (A); throws when it is absent. */
export function figureOf(evaluation: Evaluation, key: string, load: number | null = null): Figure {
  const found = evaluation.figures.find((figure) => figure.key === key && figure.load === load);
  if (!found) throw new Error(`no figure ${key} (${load === null ? "own load" : `${load} A`})`);
  return found;
}

/** The standard loads that a run was translated to, A, the nearest to its own current first. */
export function loadsOf({ figures }: Evaluation): number[] {
  const own = figures.find(({ key, load }) => key === "current-10s" && load === null)?.value ?? Number.NaN;
  const away = (load: number) => Math.abs(Math.log(load / own));
  return [...new Set(figures.flatMap(({ load }) => (load === null ? [] : [load])))].sort((a, b) => away(a) - away(b));
}

export const figureKeys = (evaluation: Evaluation, load: number | null): string[] =>
  evaluation.figures.filter((figure) => figure.load === load).map(({ key }) => key);
