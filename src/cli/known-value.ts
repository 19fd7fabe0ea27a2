import { shownValue } from "../core/uncertainty/digits.js";

/** A value with as many digits as its expanded uncertainty supports, such as `1392 +- 9`. */
export function knownValue(value: number, expandedUncertainty: number): string {
  const shown = shownValue(value, expandedUncertainty);
  return `${shown.value} +- ${shown.uncertainty}`;
}
