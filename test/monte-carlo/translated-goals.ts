import { describe, expect, test } from "@jest/globals";
import type { Chemistry } from "../../src/core/model.js";
import { POPULATIONS } from "../cross-checks/simulator/populations.js";
import type { JudgedFleet } from "./draw-fleet.js";
import { tooBold, tooFar, tooWide } from "./goals.js";
import { type JudgedFigure, RANKED_TRANSLATED } from "./judged-figure.js";

/**
 * Holds the translated figures of one chemistry to their goals, on packs of every population: none of them is made like the
 * evaluation's model. The truth is the same pack under the standard load, from the second simulator.
 *
 * @param runs of each chemistry of each population, in `drawn`
 */
export function holdTranslatedGoals(chemistry: Chemistry, runs: number, drawn: () => readonly JudgedFleet[]): void {
  describe(`${chemistry} packs unlike the model, on exact benches under any kind of load`, () => {
    const translated = (fleet: JudgedFleet) =>
      fleet.runs
        .flatMap(({ figures }) => figures)
        .filter((one) => one.chemistry === chemistry && one.side !== null && RANKED_TRANSLATED.includes(one.key));
    const all = (): JudgedFigure[] => drawn().flatMap(translated);

    test("every ranked figure is translated for nearly every run of every population", () => {
      expect(drawn().map(({ population }) => population)).toEqual(POPULATIONS);
      const rare = RANKED_TRANSLATED.filter((key) => all().filter((one) => one.key === key).length < 2.5 * runs);
      expect(rare).toEqual([]);
    });
    test("at least 93 % of the true values lie within 2 u, in all and in each population", () => {
      expect(tooBold(all(), 3 * runs)).toEqual([]);
      const bold = drawn().flatMap((fleet) =>
        tooBold(translated(fleet), runs).map((one) => `population ${fleet.population}: ${one}`),
      );
      expect(bold).toEqual([]);
    });
    test("no U is more than three times too wide", () => expect(tooWide(all())).toEqual([]));
    test("at the nearest load 95 % of powers are within 0.2 %, of capacities and energies within 0.65 %", () => {
      expect(tooFar(all())).toEqual([]);
    });
  });
}
