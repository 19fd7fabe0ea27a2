import type { Adjustment } from "../model.js";
import { LogError } from "../table/log-error.js";
import type { TableHead } from "../table/table.js";
import type { Assignment } from "./assign.js";
import type { AssignedColumn } from "./assigned.js";
import { proposalFor } from "./proposal.js";

interface CellVoltages {
  readonly voltage: Float64Array | null;
  readonly cells: readonly Float64Array[];
  readonly adjustments: readonly Adjustment[];
}

/** What one cell of a pack reads, with room for a deep discharge (common practice, no published source), V. */
const MAX_CELL_V = 5;
/** How far a tap may be from its share of the highest one. */
const TAP_TOLERANCE = 0.25;

/**
 * The voltage of each cell: as logged, or the differences of taps that are counted from the pack's negative end up (4.2, 8.4, 12.6 V), of
 * which the last is the pack's voltage.
 *
 * @throws LogError `log-column-ambiguous` when columns that are numbered like cells read as neither
 */
export function cellVoltages(
  assignment: Assignment,
  columns: readonly AssignedColumn[],
  values: readonly Float64Array[],
  voltage: Float64Array | null,
  head: TableHead,
): CellVoltages {
  const ofCells = columns.filter(({ channel }) => channel === "cell");
  const ordered = ofCells
    .map(({ index }, at) => ({
      index,
      number: assignment.log[index]?.numbers[0] ?? at,
      values: values[at] as Float64Array,
    }))
    .sort((a, b) => a.number - b.number);
  const medians = ordered.map((cell) => median(cell.values));
  const highest = Math.max(0, ...medians);
  if (highest <= MAX_CELL_V) return { voltage, cells: values, adjustments: [] };
  // The pack's negative end may be logged too, and inputs beyond its positive end that nothing is connected to.
  const reads = (volts: number) => volts > MAX_CELL_V / 50;
  const taps = ordered.slice(reads(medians[0] as number) ? 0 : 1, medians.findLastIndex(reads) + 1);
  if (isLadder(taps.map((tap) => median(tap.values)))) {
    const cells = taps.map((tap, at) =>
      at === 0 ? tap.values : subtract(tap.values, (taps[at - 1] as typeof tap).values),
    );
    const last = taps.at(-1) as (typeof taps)[number];
    return {
      voltage: voltage ?? last.values,
      cells,
      adjustments: [
        {
          kind: "cells-from-taps",
          message: `The columns ${taps.map(({ index }) => JSON.stringify(head.headers[index])).join(", ")} rise by one cell each: they are taps counted from the pack's negative end. Each cell is the difference of two taps${voltage ? "" : ", and the pack's voltage is the highest tap"}.`,
          before: taps.length,
          after: cells.length,
          unit: "1",
        },
      ],
    };
  }
  const at = medians.indexOf(highest);
  const { index } = ordered[at] as (typeof ordered)[number];
  const header = head.headers[index] ?? "";
  throw new LogError(
    "log-column-ambiguous",
    `The column ${JSON.stringify(header)} is numbered like a cell, but reads ${highest.toPrecision(4)} V (median), which no cell has, and the numbered columns do not rise by one cell each. If it is the pack's voltage, say so in the column map: {"voltage": ${JSON.stringify(header)}}.`,
    [{ line: head.headerLine, column: index + 1, message: header }],
    proposalFor(
      "voltage",
      assignment.log,
      columns.filter(({ channel }) => channel !== "cell" && channel !== "voltage"),
    ),
  );
}

/** Voltages of which the n-th is about n times that of one cell. */
function isLadder(volts: readonly number[]): boolean {
  const step = (volts.at(-1) as number) / volts.length;
  return (
    volts.length >= 2 &&
    step <= MAX_CELL_V &&
    volts.every((volt, at) => Math.abs(volt - step * (at + 1)) <= TAP_TOLERANCE * step)
  );
}

const subtract = (a: Float64Array, b: Float64Array): Float64Array => a.map((value, row) => value - (b[row] as number));

function median(values: Float64Array): number {
  const sorted = values.filter((value) => !Number.isNaN(value)).sort();
  return sorted[sorted.length >> 1] ?? Number.NaN;
}
