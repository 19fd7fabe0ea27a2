import { expect, test } from "@jest/globals";
import { BUDGETS_ENCODING, budgetName, decodeBudgets, encodeBudgets } from "../../src/core/figures/stored-budgets.js";
import { columnOfLoad } from "../../src/platform/database/rows/load-column.js";
import { evaluatedDemo } from "./evaluated-demo.js";

/** A double takes 8, and its source's number as text some 2 more. */
const MAX_BYTES_A_PART = 7;
/** Of the demo. */
export function testStoredBudgets(): void {
  test("the demo's budgets are stored in few bytes a part, and come back to the last bit", async () => {
    let [bytes, parts] = [0, 0];
    for (const { evaluation } of (await evaluatedDemo()).values()) {
      const figures = evaluation.figures.map((figure) => ({ ...figure, load: columnOfLoad(figure.load) }));
      const stored = encodeBudgets(figures);
      const back = decodeBudgets(BUDGETS_ENCODING, stored);
      expect(figures.map((figure) => back.get(budgetName(figure)))).toEqual(figures.map(({ budget }) => budget));
      bytes += stored.length;
      for (const { budget } of figures) parts += budget.length;
    }
    expect(parts).toBeGreaterThan(40_000);
    expect(bytes / parts).toBeLessThan(MAX_BYTES_A_PART);
  });
}
