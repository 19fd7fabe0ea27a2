import { element } from "./elements.js";

/** Options of a select, by their values. */
export const optionsOf = (texts: Readonly<Record<string, string>>, selected: string): HTMLOptionElement[] =>
  Object.entries(texts).map(([value, text]) => element("option", { value, selected: value === selected }, text));
