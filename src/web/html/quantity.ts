import { shownValue } from "../../core/uncertainty/digits.js";
import { type Html, html } from "./html.js";

const SYMBOLS: Readonly<Record<string, string>> = {
  "1": "",
  mohm: "m\u03a9",
  ohm: "\u03a9",
  degC: "\u00b0C",
  ratio: "%",
};

/** A unit of the API as the trade writes it. */
export const unitSymbol = (unit: string): string => SYMBOLS[unit] ?? unit.replace(/\bmohm\b/g, "m\u03a9");

/** A value with its expanded uncertainty U, in as many digits as U supports. */
export function quantity(value: number, expanded: number, unit: string): Html {
  const factor = unit === "ratio" ? 100 : 1;
  const shown = shownValue(factor * value, factor * expanded);
  const symbol = unitSymbol(unit);
  return html`<span class="quantity"><b>${typographic(shown.value)}</b> ${
    expanded > 0 && html`<span class="uncertainty">\u00b1\u202f${shown.uncertainty}</span> `
  }${symbol && html`<span class="unit">${symbol}</span>`}</span>`;
}

/** A plain number in at most so many significant digits. */
export const plainNumber = (value: number, digits = 3): string =>
  typographic(String(Number(value.toPrecision(digits))));

/** With a minus sign in place of a hyphen. */
const typographic = (text: string): string => text.replace(/^-/, "\u2212");
