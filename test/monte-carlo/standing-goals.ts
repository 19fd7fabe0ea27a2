import { beforeAll, describe, expect, test } from "@jest/globals";
import { drawnFleets } from "./drawn-fleets.js";
import { tooBoldStandings } from "./goals.js";
import { RANKED_TRANSLATED } from "./judged-figure.js";
import type { JudgedStanding, StandingSide } from "./standings.js";

const PACKS = Number(process.env.MONTE_CARLO_STANDINGS ?? 2);
const PACKS_IN_ALL = 12 * PACKS;

/**
 * Holds standings to their k u, on packs of every population and chemistry. What a translation leaves out is alike for all testers of a
 * pack whose loads lie on one side: averaging must not hide it, and where they lie on both it must not be counted as if they did not.
 */
export function holdStandingGoals(side: StandingSide): void {
  describe(`standings of five testers, loads ${side}`, () => {
    let standings: JudgedStanding[] = [];
    beforeAll(async () => {
      const options = ["--runs", "0", "--standings", String(PACKS), "--side", side, "--seed", "goals"];
      standings = (await drawnFleets(...options)).flatMap((fleet) => fleet.standings);
    }, 600_000);

    test("every ranked figure has a standing of most packs", () => {
      const count = (key: string) => standings.filter((one) => one.key === key).length;
      expect(RANKED_TRANSLATED.filter((key) => count(key) < PACKS_IN_ALL / 2)).toEqual([]);
    });
    test("at least 93 % of the true values lie within k u", () => expect(tooBoldStandings(standings)).toEqual([]));
  });
}
