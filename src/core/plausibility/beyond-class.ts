import { exp, log, log1p } from "../numerics/library.js";
import { median } from "../statistics/median.js";

/** Packs of a class from which on one is held against them. */
export const MIN_CLASS_PACKS = 8;
/** Median absolute deviation times this is the standard deviation of a normal distribution; packs of a class differ at least by so much. */
const NORMAL_PER_MAD = 1.4826;
const MIN_SPREAD = 0.05;
/** How many of them, and how far past everybody, is beyond the class. */
const MIN_DEVIATIONS = 4;
const PAST_ALL = 0.1;

/**
 * Whether a positive value lies beyond those of a class, one for each pack, on its good side: by more than four robust standard
 * deviations of their logarithms and by more than a tenth past the best of them.
 *
 * @returns the value that it would have to reach for that; null where the class has too few packs
 */
export function classLimit(values: readonly number[], better: "lower" | "higher"): number | null {
  if (values.length < MIN_CLASS_PACKS) return null;
  const side = better === "lower" ? -1 : 1;
  const logarithms = values.map((value) => side * log(value));
  const middle = median(logarithms);
  const spread = Math.max(NORMAL_PER_MAD * median(logarithms.map((one) => Math.abs(one - middle))), MIN_SPREAD);
  const limit = Math.max(middle + MIN_DEVIATIONS * spread, Math.max(...logarithms) + log1p(PAST_ALL));
  return exp(side * limit);
}
