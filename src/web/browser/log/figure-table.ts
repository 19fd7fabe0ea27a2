import { FIGURE_KEYS } from "../../../core/figures/catalogue.js";
import { FIGURE_DESCRIPTIONS } from "../../../core/figures/descriptions.js";
import type { Figure } from "../../../core/model.js";
import { COVERAGE_FACTOR } from "../../../core/uncertainty/coverage-factor.js";
import { shownValue } from "../../../core/uncertainty/digits.js";
import type { FigureTable } from "./messages.js";

const BOUNDS = { none: "", lower: "\u2265 ", upper: "\u2264 " } as const;
const SYMBOLS: Readonly<Record<string, string>> = { "1": "", mohm: "m\u03a9", degC: "\u00b0C", "1/h": "C" };

/** The figures of a run in the order of the catalogue, with U = 2 u. */
export function figureTable(figures: readonly Figure[]): FigureTable {
  const loads = [...new Set(figures.flatMap(({ load }) => load ?? []))].sort((a, b) => a - b);
  const textAt = (key: string, load: number | null) => {
    const figure = figures.find((one) => one.key === key && one.load === load);
    return figure ? textOf(figure) : null;
  };
  const keys = FIGURE_KEYS.filter((key) => figures.some((figure) => figure.key === key));
  const rows = keys.map((key) => ({
    title: FIGURE_DESCRIPTIONS.get(key)?.title ?? key,
    cells: [null, ...loads].map((load) => textAt(key, load)),
  }));
  return { loads, rows };
}

/** When the figures of this run that are read at an instant are read, s from onset. */
export function marksOf(figures: readonly Figure[]): readonly number[] {
  const instants = figures.flatMap(({ key, load }) => (load === null ? (/^power-(\d+)s$/.exec(key)?.[1] ?? []) : []));
  return [...new Set(instants.map(Number))];
}

function textOf({ value, uncertainty, unit, bound }: Figure): string {
  const shown = shownValue(value, COVERAGE_FACTOR * uncertainty);
  const text = `${BOUNDS[bound]}${shown.value} \u00b1 ${shown.uncertainty} ${SYMBOLS[unit] ?? unit}`;
  return text.replace(/-(?=\d)/g, "\u2212").trim();
}
