import type { BudgetPart } from "../../src/core/model.js";
import { evaluateText } from "../support/evaluated.js";
import type { Distribution } from "./honest-bench.js";
import { simulateRun } from "./simulated-run.js";

export type Side = "own" | "translated";

/** One figure of one run beside what is true. */
export interface DrawnFigure {
  readonly key: string;
  readonly side: Side;
  readonly value: number;
  readonly truth: number;
  readonly uncertainty: number;
  readonly budget: readonly BudgetPart[];
}

/** The figures of run number `seed`; those that are bounds, and those that the log or the truth lacks, are left out. */
export async function drawFigures(seed: number, errors: Distribution): Promise<DrawnFigure[]> {
  const { log, facts, truth } = simulateRun(seed, errors);
  const { figures } = await evaluateText(log, facts);
  return figures.flatMap(({ key, value, basis, bound, uncertainty, budget }) => {
    const side = basis === "translated" ? "translated" : "own";
    const trueValue = (side === "own" ? truth.own : truth.reference)[key];
    if (trueValue === undefined || bound !== "none") return [];
    return [{ key, side, value, truth: trueValue, uncertainty, budget }];
  });
}
