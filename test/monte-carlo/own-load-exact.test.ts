import { beforeAll, describe, expect, test } from "@jest/globals";
import { fleetInProcess } from "./fleet-in-process.js";
import type { JudgedFigure } from "./judged-figure.js";
import { quantile } from "./summary.js";

const RUNS = Number(process.env.MONTE_CARLO_RUNS ?? 6);

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

// The reference is the second simulator: another model, another solver, another reading of the definitions.
describe("figures under the run's own load, on exact benches at 20 Hz", () => {
  let own: JudgedFigure[] = [];
  beforeAll(async () => {
    const fleets = await fleetInProcess("--runs", String(RUNS), "--seed", "exact");
    const all = fleets.flatMap(({ runs }) => runs).flatMap(({ figures }) => figures);
    own = all.filter(({ side }) => side === null);
  }, 600_000);

  test.each(Object.keys(MAX_ERROR))("%s is what the second simulator says", (key) => {
    const errors = own.filter((one) => one.key === key).map(({ value, truth }) => Math.abs(value / truth - 1));
    expect(errors.length).toBeGreaterThan(10 * RUNS);
    expect(quantile(errors, 0.95)).toBeLessThan(MAX_ERROR[key] as number);
  });
});
