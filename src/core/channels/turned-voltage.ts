import type { Adjustment } from "../model.js";
import { median } from "../statistics/median.js";

/** A sensor that reads less in this share of the rows, and more than noise at the median, V, has its leads swapped (common practice, no published source). */
const MIN_SHARE_BELOW = 0.99;
const MIN_MEDIAN_V = 1;

/** A pack's voltage is never negative: one that is throughout was measured with its leads swapped, and is inverted. */
export function turnedVoltage(voltage: Float64Array | null): {
  readonly voltage: Float64Array | null;
  readonly adjustments: readonly Adjustment[];
} {
  const read = voltage?.filter(Number.isFinite) ?? new Float64Array(0);
  const below = read.filter((volts) => volts < 0).length;
  if (!voltage || read.length === 0 || below < MIN_SHARE_BELOW * read.length) return { voltage, adjustments: [] };
  const middle = median(read);
  if (middle > -MIN_MEDIAN_V) return { voltage, adjustments: [] };
  return {
    voltage: voltage.map((volts) => 0 - volts),
    adjustments: [
      {
        kind: "voltage-turned",
        message: "The log's voltage is negative throughout, as with swapped leads. The voltage was inverted.",
        before: middle,
        after: -middle,
        unit: "V",
      },
    ],
  };
}
