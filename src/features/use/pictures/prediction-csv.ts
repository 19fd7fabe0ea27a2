import { csvOf } from "../../../core/tables/csv.js";
import type { PredictionPointView, PredictionsView } from "../predictions.views.js";

/** Columns of a prediction's curve with their headers. */
const COLUMNS: readonly (readonly [string, keyof PredictionPointView])[] = [
  ["time [s]", "timeS"],
  ["voltage [V]", "voltageV"],
  ["voltage uncertainty [V]", "voltageUncertainty"],
  ["current [A]", "currentA"],
  ["current uncertainty [A]", "currentUncertainty"],
  ["power [W]", "powerW"],
  ["power uncertainty [W]", "powerUncertainty"],
  ["temperature [degC]", "temperatureC"],
  ["temperature uncertainty [K]", "temperatureUncertainty"],
  ["charge [mAh]", "chargeMah"],
  ["charge uncertainty [mAh]", "chargeUncertainty"],
];
const HEADER = ["pack", "of", "holds", "probability", "needed", ...COLUMNS.map(([header]) => header)];

/** One row for each point of each pack's curve, with standard uncertainties; one that says which runs are needed for a pack of which nothing is said. */
export function predictionsCsv({ items }: PredictionsView): string {
  const rows = items.flatMap(({ packId, of, holds, probability, needed, curve }) => {
    const missing = needed.length === 0 ? null : needed.map(({ message }) => message).join("; ");
    const head = [packId, of, holds === null ? null : String(holds), probability, missing];
    if (curve.length === 0) return [[...head, ...COLUMNS.map(() => null)]];
    return curve.map((point) => [...head, ...COLUMNS.map(([, key]) => point[key])]);
  });
  return csvOf(HEADER, rows);
}
