import { beforeAll, describe, expect, test } from "@jest/globals";
import type { Chemistry } from "../../src/core/model.js";
import { POPULATIONS } from "../cross-checks/simulator/populations.js";
import type { JudgedFleet } from "./draw-fleet.js";
import { fleetInProcess } from "./fleet-in-process.js";
import { tooBold, tooFar, tooWide } from "./goals.js";
import { type JudgedFigure, RANKED_TRANSLATED } from "./judged-figure.js";

const RUNS = Number(process.env.MONTE_CARLO_RUNS ?? 10);
const SEED = "goals";

/**
 * Holds the translated figures of one chemistry to their goals, on packs of every population: none of them is made like the
 * evaluation's model. The truth is the same pack under the standard load, from the second simulator.
 */
export function holdTranslatedGoals(chemistry: Chemistry): void {
  describe(`${chemistry} packs unlike the model, on exact benches under any kind of load`, () => {
    let fleets: JudgedFleet[] = [];
    let all: JudgedFigure[] = [];
    const translated = ({ runs }: JudgedFleet) =>
      runs
        .flatMap(({ figures }) => figures)
        .filter(({ key, side }) => side !== null && RANKED_TRANSLATED.includes(key));
    beforeAll(async () => {
      fleets = await fleetInProcess("--runs", String(RUNS), "--chemistry", chemistry, "--seed", SEED);
      all = fleets.flatMap(translated);
    }, 600_000);

    test("every ranked figure is translated for nearly every run of every population", () => {
      expect(fleets.map(({ population }) => population)).toEqual(POPULATIONS);
      const rare = RANKED_TRANSLATED.filter((key) => all.filter((one) => one.key === key).length < 2.5 * RUNS);
      expect(rare).toEqual([]);
    });
    test("at least 93 % of the true values lie within 2 u, in all and in each population", () => {
      expect(tooBold(all, 3 * RUNS)).toEqual([]);
      const bold = fleets.flatMap((fleet) =>
        tooBold(translated(fleet), RUNS).map((one) => `population ${fleet.population}: ${one}`),
      );
      expect(bold).toEqual([]);
    });
    test("no U is more than three times too wide", () => expect(tooWide(all)).toEqual([]));
    test("at the nearest load 95 % of powers are within 0.2 %, of capacities and energies within 0.65 %", () => {
      expect(tooFar(all)).toEqual([]);
    });
  });
}
