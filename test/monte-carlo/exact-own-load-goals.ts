import { describe, expect, test } from "@jest/globals";
import type { JudgedFleet } from "./draw-fleet.js";
import { quantile } from "./summary.js";

/** What sampling at 20 Hz may leave of an error in 95 % of the runs, as a share: a few times what it leaves. */
const MAX_ERROR: Readonly<Record<string, number>> = {
  "power-10s": 0.0002,
  "voltage-10s": 0.0002,
  "current-10s": 0.0002,
  "power-30s": 0.0001,
  capacity: 0.0003,
  energy: 0.0003,
  runtime: 0.0003,
  "resistance-10s": 0.001,
  "power-peak": 0.002,
  "hold-30s": 0.002,
};

/**
 * Holds figures under the run's own load to the second simulator: another model, another solver, another reading of the definitions.
 *
 * @param runs of each chemistry of each population, in `drawn`
 */
export function holdExactOwnLoadGoals(runs: number, drawn: () => readonly JudgedFleet[]): void {
  describe("figures under the run's own load, on exact benches at 20 Hz", () => {
    test.each(Object.keys(MAX_ERROR))("%s is what the second simulator says", (key) => {
      const judged = drawn().flatMap((fleet) => fleet.runs.flatMap(({ figures }) => figures));
      const own = judged.filter((one) => one.side === null && one.key === key);
      const errors = own.map(({ value, truth }) => Math.abs(value / truth - 1));
      expect(errors.length).toBeGreaterThan(10 * runs);
      expect(quantile(errors, 0.95)).toBeLessThan(MAX_ERROR[key] as number);
    });
  });
}
