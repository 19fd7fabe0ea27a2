import type { BudgetPart, Figure, PackFacts } from "../model.js";
import { hypot } from "../numerics/hypot.js";
import type { FigureFormula } from "./formula.js";
import type { ReadingKey, Readings } from "./reading.js";

/** The value of a figure from what was read; null where something it needs is missing. */
export function figureValue(
  formula: FigureFormula,
  reads: Readings | null,
  pack: PackFacts,
  changed?: { key: ReadingKey; by: number },
): number | null {
  if (!reads) return null;
  const value = formula.from((key) => {
    const read = reads.get(key);
    if (!read) return null;
    return changed?.key === key ? read.value + changed.by : read.value;
  }, pack);
  return value !== null && Number.isFinite(value) ? value : null;
}

/**
 * Half of the difference between a figure perturbed up and down; where one move takes it out of reach (a mark past the end), the difference of
 * the other one from the unperturbed figure; NaN where both do.
 */
export function movedPart(high: number | null, low: number | null, unperturbed: number | null): number {
  if (high !== null && low !== null) return Math.abs(high - low) / 2;
  const reached = high ?? low;
  return reached === null || unperturbed === null ? Number.NaN : Math.abs(reached - unperturbed);
}

/** How far the mean of what the even and what the odd samples give lies from what all give; 0 where either does not reach it. */
export function samplingPart(even: number | null, odd: number | null, all: number | null): number {
  return even === null || odd === null || all === null ? 0 : Math.abs((even + odd) / 2 - all);
}

/** What the noise of each read leaves in a figure. What the formula does not ask for leaves nothing, and is not moved. */
export function noisePart(
  formula: FigureFormula,
  reads: Readings,
  pack: PackFacts,
  noise: ReadonlyMap<ReadingKey, number>,
): number {
  const asked = new Set<ReadingKey>();
  formula.from((key) => {
    asked.add(key);
    return reads.get(key)?.value ?? null;
  }, pack);
  const parts: number[] = [];
  for (const [key, by] of noise) {
    // The rest voltage moves the model of the run too: it is a source of its own.
    if (key === "rest-voltage" || !asked.has(key)) continue;
    const high = figureValue(formula, reads, pack, { key, by });
    const low = figureValue(formula, reads, pack, { key, by: -by });
    if (high !== null && low !== null) parts.push(Math.abs(high - low) / 2);
  }
  return hypot(...parts);
}

/** A budget without the parts that are nothing, and the root of the sum of its squares. */
export function summed(parts: readonly BudgetPart[]): Pick<Figure, "budget" | "uncertainty"> {
  const budget = parts.filter(({ uncertainty }) => uncertainty > 0);
  return { budget, uncertainty: hypot(...budget.map((part) => part.uncertainty)) };
}
