import { parseArgs } from "node:util";
import { CHEMISTRIES, type Chemistry } from "../../src/core/model.js";
import { POPULATIONS, type Population } from "../cross-checks/simulator/populations.js";
import { BENCHES, type BenchErrors } from "./fleet.js";
import { STANDING_SIDES, type StandingSide } from "./standings.js";

export const USAGE = `npm run monte-carlo -- [OPTION ...]
  --runs N          runs of each chemistry of each population (25)
  --standings N     packs with five testers, of each chemistry and population, for each side of the load (0)
  --side S          ${STANDING_SIDES.join(", ")}; all of them unless given
  --seed NAME       another name draws another fleet (1)
  --population P    ${POPULATIONS.join(", ")}; all of them unless given
  --chemistry C     ${CHEMISTRIES.join(", ")}; all of them unless given
  --bench B         ${BENCHES.join(", ")} (exact)
  --own             only figures under the run's own load, which take less time
  --details         also by side and chemistry, and by kind of load and chemistry
  --json            every figure and standing as JSON, in place of tables`;

/** What to draw, and how to show it. */
export interface FleetOptions {
  readonly runs: number;
  readonly standings: number;
  readonly sides: readonly StandingSide[];
  readonly seed: string;
  readonly populations: readonly Population[];
  readonly chemistries: readonly Chemistry[];
  readonly errors: BenchErrors;
  readonly onlyOwn: boolean;
  readonly details: boolean;
  readonly json: boolean;
}

/** The options of a command line; null when they ask for the usage or make no sense. */
export function optionsOf(args: readonly string[]): FleetOptions | null {
  const { values } = parseArgs({
    args: [...args],
    options: {
      runs: { type: "string", default: "25" },
      standings: { type: "string", default: "0" },
      side: { type: "string" },
      seed: { type: "string", default: "1" },
      population: { type: "string" },
      chemistry: { type: "string" },
      bench: { type: "string", default: "exact" },
      own: { type: "boolean", default: false },
      details: { type: "boolean", default: false },
      json: { type: "boolean", default: false },
      help: { type: "boolean", default: false },
    },
  });
  const [runs, standings] = [Number(values.runs), Number(values.standings)];
  const chosen = <T extends string>(all: readonly T[], name: string | undefined) =>
    all.filter((one) => name === undefined || one === name);
  const [populations, chemistries] = [chosen(POPULATIONS, values.population), chosen(CHEMISTRIES, values.chemistry)];
  const sides = chosen(STANDING_SIDES, values.side);
  const [errors] = chosen(BENCHES, values.bench);
  const counts = Number.isInteger(runs) && Number.isInteger(standings) && runs >= 0 && standings >= 0;
  const lists = [populations, chemistries, sides];
  if (values.help || !counts || !errors || lists.some((list) => list.length === 0)) return null;
  const { seed, own: onlyOwn, details, json } = values;
  return { runs, standings, sides, seed, populations, chemistries, errors, onlyOwn, details, json };
}
