import { shownValue } from "../../core/uncertainty/digits.js";
import { unitSymbol } from "../words.js";
import { type Html, html } from "./html.js";

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
