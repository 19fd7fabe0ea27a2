import type { Adjustment, ColumnReading } from "../model.js";
import { LogError } from "../table/log-error.js";
import type { Rows } from "../table/rows/rows-read.js";
import { parseUnit, toBaseUnit, type Unit } from "../units/units.js";
import type { Assignment } from "./assign.js";
import type { AssignedColumn } from "./assigned.js";
import { impliedUnit } from "./implied-unit.js";
import { timeProposal } from "./proposal.js";
import { nameOf } from "./refusals.js";

interface SettledUnits {
  readonly columns: readonly AssignedColumn[];
  readonly readings: readonly ColumnReading[];
  readonly adjustments: readonly Adjustment[];
}

/**
 * Gives each column without a word on its unit the one unit in which its numbers are those of a pack's discharge, and holds units that a
 * header multiplies ("V x100") against them.
 *
 * @param origin what was subtracted from the numbers of a column
 * @throws LogError `log-unit-missing` when several units are plausible, or none
 */
export function settleUnits(
  assignment: Assignment,
  rows: Rows,
  origin: (column: AssignedColumn) => number,
): SettledUnits {
  const adjustments: Adjustment[] = [];
  const settled = assignment.columns.map((column, slot) => {
    const values = rows.columns[slot] as Float64Array;
    if (column.unit?.multiplied) refuseImplausibleScale(assignment, column, column.unit, values);
    if (!column.unitMissing) return column;
    const { plausible, seen } = impliedUnit(column.channel, values, origin(column));
    const [unit] = plausible;
    if (!unit || plausible.length > 1) throw withMagnitude(column.unitMissing, assignment, column, plausible, seen);
    const header = assignment.log[column.index]?.header ?? "";
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
    settled.find((column, slot) => column.index === index && assignment.columns[slot]?.unitMissing);
  return {
    columns: settled,
    adjustments: [...adjustments, ...scalesOf(assignment)],
    readings: assignment.readings.map((reading, index) => {
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

/** What was read of numbers that count something else than one unit. */
function scalesOf({ columns, log }: Assignment): readonly Adjustment[] {
  return columns.flatMap(({ index, unit }) => {
    const scale = unit ? unit.factor / (parseUnit(unit.symbol)?.factor ?? unit.factor) : 1;
    const column = log[index];
    if (!unit || !column || Math.abs(scale - 1) < 1e-12) return [];
    return [
      {
        kind: "scale-applied",
        message: `The numbers of ${nameOf(column)} were multiplied by ${Number(scale.toPrecision(12))} to be in ${unit.symbol}.`,
        before: 1,
        after: Number(scale.toPrecision(12)),
        unit: unit.symbol,
      },
    ];
  });
}

/** "V x100" says that 1680 is 16.8 V, or that 0.168 is: the numbers tell. */
function refuseImplausibleScale(
  assignment: Assignment,
  column: AssignedColumn,
  unit: Unit,
  values: Float64Array,
): void {
  if (column.channel !== "voltage" && column.channel !== "current") return;
  const { plausible, seen } = impliedUnit(column.channel, toBaseUnit(values, unit), 0);
  if (plausible.some(({ factor }) => factor === 1)) return;
  const header = assignment.log[column.index];
  const name = header ? nameOf(header) : "";
  const factor = 1 / (unit.multiplied as number);
  throw new LogError(
    "log-unit-missing",
    `The column ${name} says that its numbers are ${unit.multiplied} times those in ${unit.symbol}, and they would not be those of a pack (in ${unit.symbol}, ${seen}). Say in the column map what they are multiplied by, such as {"${column.channel}": {"name": ${name}, "unit": "${unit.symbol}", "factor": ${factor}}}.`,
    [{ line: assignment.headerLine, column: column.index + 1, message: header?.header ?? "" }],
    scaleProposal(assignment, column, unit),
  );
}

function scaleProposal(assignment: Assignment, column: AssignedColumn, { symbol, multiplied = 1 }: Unit) {
  const { columns } = timeProposal(assignment, column.index, []);
  const time = assignment.columns.find(({ channel }) => channel === "time");
  const base = time ? { ...columns, time: assignment.log[time.index]?.header ?? "" } : columns;
  return {
    columns: base,
    candidates: [1 / multiplied, multiplied, 1].map((factor) => ({
      channel: column.channel,
      columns: { ...base, [column.channel]: { column: column.index + 1, unit: symbol, factor } },
    })),
  };
}

function withMagnitude(
  { code, message, places, proposal }: LogError,
  assignment: Assignment,
  column: AssignedColumn,
  plausible: readonly { symbol: string }[],
  seen: string,
): LogError {
  const units = plausible.map(({ symbol }) => symbol);
  const magnitude =
    units.length === 0
      ? `in no unit are its numbers those of a pack's discharge`
      : `its numbers are plausible in ${units.join(" and in ")}`;
  const offered =
    column.channel === "time" && units.length > 0 ? timeProposal(assignment, column.index, units) : proposal;
  return new LogError(code, `${message} Magnitude does not settle it: ${magnitude} (${seen}).`, places, offered);
}
