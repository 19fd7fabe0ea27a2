import type { Adjustment, ColumnReading } from "../model.js";
import { LogError } from "../table/log-error.js";
import type { Rows } from "../table/rows-read.js";
import type { Assignment } from "./assign.js";
import type { AssignedColumn } from "./assigned.js";
import { impliedUnit } from "./implied-unit.js";

interface SettledUnits {
  readonly columns: readonly AssignedColumn[];
  readonly readings: readonly ColumnReading[];
  readonly adjustments: readonly Adjustment[];
}

/**
 * Gives each column without a word on its unit the one unit in which its numbers are those of a pack's discharge.
 *
 * @param origin what was subtracted from the numbers of a column
 * @throws LogError `log-unit-missing` when several units are plausible, or none
 */
export function settleUnits(
  { columns, readings }: Assignment,
  headers: readonly string[],
  rows: Rows,
  origin: (column: AssignedColumn) => number,
): SettledUnits {
  const adjustments: Adjustment[] = [];
  const settled = columns.map((column, slot) => {
    if (!column.unitMissing) return column;
    const { plausible, seen } = impliedUnit(column.channel, rows.columns[slot] as Float64Array, origin(column));
    const [unit] = plausible;
    if (!unit || plausible.length > 1) throw withMagnitude(column.unitMissing, plausible, seen);
    const header = headers[column.index] ?? "";
    adjustments.push({
      kind: "unit-implied",
      message: `The column "${header}" states no unit. Its numbers are plausible for a pack in ${unit.symbol} alone (${seen}) and were taken in it. State it in the header, such as "${header} [${unit.symbol}]", or in the column map.`,
      before: null,
      after: null,
      unit: unit.symbol,
    });
    return { ...column, unit, unitMissing: null };
  });
  const impliedAt = (index: number) =>
    settled.find((column, slot) => column.index === index && columns[slot]?.unitMissing);
  return {
    columns: settled,
    adjustments,
    readings: readings.map((reading, index) => {
      const implied = impliedAt(index);
      if (!implied?.unit) return reading;
      return {
        ...reading,
        unit: implied.unit.symbol,
        reason: `${reading.reason}; its unit by the magnitude of its numbers`,
      };
    }),
  };
}

function withMagnitude(
  { code, message, places, proposal }: LogError,
  plausible: readonly { symbol: string }[],
  seen: string,
): LogError {
  const units = plausible.map(({ symbol }) => symbol).join(" and in ");
  const magnitude =
    units === "" ? `in no unit are its numbers those of a pack's discharge` : `its numbers are plausible in ${units}`;
  return new LogError(code, `${message} Magnitude does not settle it: ${magnitude} (${seen}).`, places, proposal);
}
