import type { JudgedFigure } from "./judged-figure.js";
import type { JudgedStanding } from "./standings.js";
import { chance, summariesOf } from "./summary.js";

/** What is asked of translated figures and of standings made of them. */
const MIN_COVERAGE = 0.93;
const MAX_TIMES_TOO_WIDE = 3;
const NEAREST_QUANTILE = 0.95;
/** Errors that 95 % of the figures at the nearest standard load keep within, on an exact bench with recovery logged. */
const NEAREST: Readonly<Record<string, number>> = {
  "power-10s": 0.002,
  "power-30s": 0.002,
  capacity: 0.0065,
  energy: 0.0065,
};
/** A quantile of so few draws is off by chance; a report on many holds the goal itself. */
const QUANTILE_SCATTER = 1.25;

/** The figures whose U claims more than their draws bear out, among `runs` runs: a run's figures at several loads err together. */
export function tooBold(judged: readonly JudgedFigure[], runs: number): string[] {
  return summariesOf(judged)
    .filter(({ within2u }) => within2u < MIN_COVERAGE - chance(MIN_COVERAGE, runs))
    .map(({ figure, within2u }) => `${figure}: ${(100 * within2u).toFixed(1)} % within 2 u`);
}

/** The figures whose U is more than three times what their errors ask for. */
export function tooWide(judged: readonly JudgedFigure[]): string[] {
  return summariesOf(judged)
    .filter(({ timesTooWide }) => timesTooWide > MAX_TIMES_TOO_WIDE * QUANTILE_SCATTER)
    .map(({ figure, timesTooWide }) => `${figure}: ${timesTooWide.toFixed(2)} times too wide`);
}

/** The figures at the nearest standard load that too often miss the truth by more than they may, with recovery logged. */
export function tooFar(judged: readonly JudgedFigure[]): string[] {
  return Object.entries(NEAREST).flatMap(([key, limit]) => {
    const ones = judged.filter((one) => one.key === key && one.nearest && one.recovered);
    const within = ones.filter(({ value, truth }) => Math.abs(value / truth - 1) <= limit).length / ones.length;
    const held = within >= NEAREST_QUANTILE - chance(NEAREST_QUANTILE, ones.length);
    return held ? [] : [`${key}: ${(100 * within).toFixed(1)} % of ${ones.length} within ${100 * limit} %`];
  });
}

/** The standings, by figure and side, that hold the truth within k u less often than they should. */
export function tooBoldStandings(standings: readonly JudgedStanding[]): string[] {
  return [...Map.groupBy(standings, ({ key, side }) => `${key}, loads ${side}`)].flatMap(([group, ones]) => {
    const within = ones.filter(({ value, truth, U }) => Math.abs(value - truth) <= U).length / ones.length;
    const held = within >= MIN_COVERAGE - chance(MIN_COVERAGE, ones.length);
    return held ? [] : [`${group}: ${(100 * within).toFixed(1)} % of ${ones.length} within k u`];
  });
}
