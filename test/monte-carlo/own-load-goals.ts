import { beforeAll, describe, expect, test } from "@jest/globals";
import type { JudgedFleet } from "./draw-fleet.js";
import { drawnFleets } from "./drawn-fleets.js";
import type { BenchErrors } from "./fleet.js";
import type { JudgedFigure } from "./judged-figure.js";
import { chance, summariesOf } from "./summary.js";

const RUNS = Number(process.env.MONTE_CARLO_RUNS ?? 6);
const RUNS_IN_ALL = 12 * RUNS;
const MIN_COVERAGE = 0.93;
/** The factor on u that holds 95 % of the errors is 2 where u is right, and not under half of that. */
const MIN_FACTOR = 1;

/** Under constant power any window of the first 5 s is the peak: its voltage and current are those of the one that noise chose. */
const CHOSEN_BY_NOISE = ["voltage-peak", "current-peak"];
/** Read at the cutoff, where the voltage is that of the cutoff by definition. */
const SETTLED_BY_DEFINITION = ["voltage-cutoff"];

/** Holds the figures under the run's own load to their uncertainty, on benches that err as their stated accuracy says. */
export function holdOwnLoadGoals(errors: BenchErrors): void {
  describe(`figures under the run's own load, on benches with ${errors} errors and clocks off by up to 0.1 %`, () => {
    let own: JudgedFigure[] = [];
    beforeAll(async () => {
      const options = ["--runs", String(RUNS), "--bench", errors, "--own", "--seed", "goals"];
      const fleets: JudgedFleet[] = await drawnFleets(...options);
      const all = fleets.flatMap(({ runs }) => runs).flatMap(({ figures }) => figures);
      own = all.filter(({ side, key, kind }) => {
        return side === null && !(kind === "constant-power" && CHOSEN_BY_NOISE.includes(key));
      });
    }, 600_000);

    test("at least 93 % of the true values lie within 2 u, for every figure", () => {
      const bold = summariesOf(own)
        .filter(({ within2u, count }) => within2u < MIN_COVERAGE - chance(MIN_COVERAGE, Math.min(count, RUNS_IN_ALL)))
        .map(({ figure, within2u }) => `${figure}: ${(100 * within2u).toFixed(1)} %`);
      expect(bold).toEqual([]);
    });
    test("no u is twice what its errors ask for", () => {
      const careful = summariesOf(own)
        .filter(({ figure, factor95 }) => factor95 < MIN_FACTOR && !SETTLED_BY_DEFINITION.includes(figure))
        .map(({ figure, factor95 }) => `${figure}: 95 % within ${factor95.toFixed(2)} u`);
      expect(careful).toEqual([]);
    });
  });
}
