import type { Adjustment } from "../model.js";

/** The current of a log that has power and voltage alone: I = P / V, A. */
export function currentOfPower(
  power: Float64Array,
  voltage: Float64Array | null,
  cells: readonly Float64Array[],
): { readonly current: Float64Array; readonly adjustment: Adjustment } {
  const volts = (row: number) => voltage?.[row] ?? cells.reduce((sum, cell) => sum + (cell[row] as number), 0);
  const current = power.map((watts, row) => {
    // Beyond the range, or no number.
    if (!Number.isFinite(watts)) return watts;
    const amperes = watts / volts(row);
    return Number.isFinite(amperes) ? amperes : Number.NaN;
  });
  return {
    current,
    adjustment: {
      kind: "current-derived",
      message:
        "The log has no current. It was derived from the logged power and voltage, I = P / V, and is as accurate as those two.",
      before: null,
      after: null,
      unit: "A",
    },
  };
}
