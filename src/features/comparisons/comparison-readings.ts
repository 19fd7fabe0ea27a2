import type { ReadingsView } from "../runs/readings/readings.views.js";
import { cellOf } from "./comparison-rows.js";
import type { ComparisonReadingView } from "./comparisons.views.js";

/** Rows of what was read of several runs in the same places, against the baseline's. */
export function readRows(readings: readonly ReadingsView[], baselineIndex: number): ComparisonReadingView[] {
  const [first] = readings;
  if (!first) return [];
  return first.readings.flatMap(({ kind, fromS, toS }, place) => {
    const values = readings.map((one) => one.readings[place]?.values ?? []);
    const quantities = new Map(values.flat().map(({ quantity, unit }) => [quantity, unit]));
    return [...quantities].map(([quantity, unit]) => {
      const known = values.map((ofRun) => {
        const found = ofRun.find((one) => one.quantity === quantity);
        return found ? { ...found, testers: 1, runs: 1 } : null;
      });
      const baseline = known[baselineIndex] ?? null;
      const cells = known.map((one) => cellOf(one, baseline));
      return { kind, fromS, toS: kind === "cutoff" ? null : toS, quantity, unit, cells };
    });
  });
}
