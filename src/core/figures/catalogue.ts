import type { FigureFormula } from "./formula.js";
import {
  CAPACITY,
  CAPACITY_SHARE,
  CURRENT_MEAN,
  ENERGY,
  RUNTIME,
  SPECIFIC_ENERGY,
  SPECIFIC_POWER_10S,
} from "./integrals.js";
import { HOLD_30S, MARK_FIGURES } from "./marks.js";
import { RESISTANCES, SAG_10S } from "./resistance.js";
import { TEMPERATURE_RISE, TIME_TO_LIMIT } from "./temperature.js";

/** Every figure, in the order in which people are shown them. A new figure is one formula, listed here. */
export const FIGURES: readonly FigureFormula[] = [
  ...MARK_FIGURES,
  CAPACITY,
  ENERGY,
  RUNTIME,
  CURRENT_MEAN,
  ...RESISTANCES,
  SAG_10S,
  HOLD_30S,
  TEMPERATURE_RISE,
  TIME_TO_LIMIT,
  SPECIFIC_ENERGY,
  SPECIFIC_POWER_10S,
  CAPACITY_SHARE,
];

export const FIGURE_KEYS: readonly string[] = FIGURES.map((figure) => figure.key);

/** The figures that tell most of a run, shown where there is no room for all. */
export const KEY_FIGURES: readonly string[] = [
  "power-peak",
  "power-10s",
  "capacity",
  "energy",
  "runtime",
  "current-mean",
  "resistance-1s",
  "resistance-two-pulse",
  "temperature-rise",
  "capacity-share",
];

/** The figures that `keys` name, in the order of the catalogue. */
export const figuresNamed = (keys: readonly string[]): FigureFormula[] =>
  FIGURES.filter(({ key }) => keys.includes(key));

export function unitOfFigure(key: string): string | null {
  return FIGURES.find((figure) => figure.key === key)?.unit ?? null;
}
