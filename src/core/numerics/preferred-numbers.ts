import { decimalExponent } from "./powers.js";

/** The R10 series of preferred numbers times 100 (ISO 3; from memory). */
const R10_HUNDREDFOLD = [100, 125, 160, 200, 250, 315, 400, 500, 630, 800] as const;

/**
 * The preferred numbers of the series R10 from `lowest` to `highest`, both included, in rising order; none where there is none between.
 *
 * @param lowest above 0
 */
export function preferredNumbers(lowest: number, highest: number): number[] {
  if (!(lowest > 0 && lowest <= highest)) return [];
  const first = decimalExponent(lowest);
  return Array.from({ length: decimalExponent(highest) - first + 1 }, (_, i) => first + i)
    .flatMap((exponent) => R10_HUNDREDFOLD.map((hundredfold) => scaledBy(hundredfold, exponent - 2)))
    .filter((number) => number >= lowest && number <= highest);
}

/** An integer times a power of ten, rounded once: 31.5 and not 31.500000000000004. */
function scaledBy(whole: number, exponent: number): number {
  const power = Number(`1e${Math.abs(exponent)}`);
  return exponent < 0 ? whole / power : whole * power;
}
