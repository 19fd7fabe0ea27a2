import { powerOfTen } from "../numerics/powers.js";

/** A value and its uncertainty as people are shown them. */
export interface ShownValue {
  readonly value: string;
  readonly uncertainty: string;
}

/** Digits of a value that is exact, or whose uncertainty is not known. */
const EXACT_DIGITS = 6;

/**
 * Rounds a value to the digits that its uncertainty supports: the uncertainty to two significant digits when its first one
 * is 1 or 2, else to one; the value to the same decimal place (JCGM 100:2008, 7.2.6 asks for at most two; the rule for
 * one is common practice, no published source; both from memory).
 *
 * @param uncertainty standard or expanded uncertainty in the unit of the value, not negative; 0 leaves the value with
 *   six significant digits
 */
export function shownValue(value: number, uncertainty: number): ShownValue {
  if (!(uncertainty > 0) || !Number.isFinite(uncertainty)) {
    return { value: String(Number(value.toPrecision(EXACT_DIGITS))), uncertainty: String(uncertainty) };
  }
  const place = lastPlace(uncertainty);
  return { value: rounded(value, place), uncertainty: rounded(uncertainty, place) };
}

/** Power of ten of the last digit that is shown: -2 for hundredths, 1 for tens. */
function lastPlace(uncertainty: number): number {
  const [digits = "", exponent = ""] = uncertainty.toExponential().split("e");
  const first = Number(digits[0]);
  // 0.096 is rounded to 0.1, whose first digit calls for a second one.
  if (first > 2 && Number(digits) < 9.5) return Number(exponent);
  return first > 2 ? Number(exponent) : Number(exponent) - 1;
}

function rounded(value: number, place: number): string {
  const text =
    place < 0
      ? value.toFixed(Math.min(100, -place))
      : String(Math.round(value / powerOfTen(place)) * powerOfTen(place));
  return Number(text) === 0 ? text.replace("-", "") : text;
}
