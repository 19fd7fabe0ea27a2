import { shownValue } from "../../../core/uncertainty/digits.js";
import { unitSymbol } from "../../words.js";
import { element } from "../elements.js";

/** A value with its expanded uncertainty U = 2 u, in as many digits as U supports. */
export function valueText(value: number, uncertainty: number, unit: string): string {
  const factor = unit === "ratio" ? 100 : 1;
  const shown = shownValue(factor * value, 2 * factor * uncertainty);
  const expanded = uncertainty > 0 ? ` \u00b1\u202f${shown.uncertainty}` : "";
  return `${shown.value}${expanded}\u00a0${unitSymbol(unit)}`.replace(/^-/, "\u2212").trim();
}

/** An instant as the reader's own system writes it. */
export function timeOf(instant: string): HTMLTimeElement {
  const text = new Date(instant).toLocaleString(undefined, { dateStyle: "medium", timeStyle: "short" });
  return element("time", { datetime: instant }, text);
}

export const packName = ({ maker, name }: { readonly maker: string; readonly name: string }): HTMLElement =>
  element("span", {}, element("bdi", {}, maker), " ", element("bdi", {}, name));

/** "1 run", "2 runs". */
export const counted = (count: number, one: string, many = `${one}s`): string => `${count} ${count === 1 ? one : many}`;

/** A number with a sign of its own. */
export const signed = (value: number, digits = 2): string =>
  `${value > 0 ? "+" : value < 0 ? "\u2212" : ""}${Number(Math.abs(value).toPrecision(digits))}`;

/** Short remarks as one sentence. */
export function sentenceOf(remarks: readonly string[]): string {
  const text = remarks.join("; ");
  return `${text.slice(0, 1).toUpperCase()}${text.slice(1)}.`;
}
