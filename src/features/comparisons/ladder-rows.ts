import { SAME_CURRENT_SHARE } from "../../core/ladder/verified-current.js";
import type { LadderStepView } from "../ladders/ladders.views.js";
import type { ComparisonStepView } from "./comparisons.views.js";

const currentOf = ({ setpointA, currentA }: LadderStepView): number => setpointA ?? currentA;

/** Steps of several ladders side by side, in rising order of current; a ladder has one step in each row at most. */
export function ladderRows(ladders: readonly (readonly LadderStepView[])[]): ComparisonStepView[] {
  const steps = ladders
    .flatMap((ladder, column) => ladder.map((step) => ({ column, step })))
    .sort((a, b) => currentOf(a.step) - currentOf(b.step));
  const rows: { column: number; step: LadderStepView }[][] = [];
  for (const one of steps) {
    const row = rows.find((some) => {
      const from = currentOf((some[0] as typeof one).step);
      return (
        currentOf(one.step) <= from * (1 + SAME_CURRENT_SHARE) && some.every(({ column }) => column !== one.column)
      );
    });
    if (row) row.push(one);
    else rows.push([one]);
  }
  return rows.map((row) => ({
    currentA: row.reduce((sum, { step }) => sum + currentOf(step), 0) / row.length,
    cells: ladders.map((_, index) => ({ step: row.find(({ column }) => column === index)?.step ?? null })),
  }));
}
