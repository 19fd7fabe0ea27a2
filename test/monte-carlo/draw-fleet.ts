import { type Population } from "../cross-checks/simulator/populations.js";
import { drawRun } from "./fleet.js";
import { type JudgedRun, judgeRun } from "./judged-figure.js";
import type { FleetOptions } from "./options.js";
import { drawStanding, type JudgedStanding } from "./standings.js";

/** What was drawn of one population. */
export interface JudgedFleet {
  readonly population: Population;
  readonly runs: readonly JudgedRun[];
  readonly standings: readonly JudgedStanding[];
}

/** Draws and judges what the options ask of one population. */
export async function drawFleet(population: Population, options: FleetOptions): Promise<JudgedFleet> {
  const { chemistries, errors, seed, onlyOwn } = options;
  const runs: JudgedRun[] = [];
  const standings: JudgedStanding[] = [];
  for (const chemistry of chemistries) {
    for (let n = 0; n < options.runs; n++) {
      runs.push(await judgeRun(drawRun({ population, chemistry, errors, name: `${seed} ${n}` }), onlyOwn));
    }
  }
  for (const side of options.sides) {
    for (const chemistry of chemistries) {
      for (let n = 0; n < options.standings; n++) {
        standings.push(...(await drawStanding(population, chemistry, side, `${seed} ${n}`)));
      }
    }
  }
  return { population, runs, standings };
}
