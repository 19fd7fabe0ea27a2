import type { Adjustment, ColumnReading, SavedColumnMap } from "../model.js";
import type { ByteChunks } from "../table/archive/chunks.js";
import { unpack } from "../table/archive/unpack.js";
import { openTable } from "../table/open-table.js";
import type { Counted, Rows } from "../table/rows/rows-read.js";
import type { TableHead } from "../table/table.js";
import type { DischargeSign } from "../trace/direction.js";
import { toBaseUnit } from "../units/units.js";
import { type Assignment, assignColumns } from "./assign.js";
import type { AssignedColumn } from "./assigned.js";
import { cellVoltages } from "./cell-voltages.js";
import { currentOfPower } from "./current-of-power.js";
import { withoutEmptyColumns } from "./empty-columns.js";
import { type JoinedChannel, joinRates } from "./joined-rates.js";
import { withoutMarks } from "./marked-readings.js";
import { readingAdjustments } from "./reading-adjustments.js";
import { chooseMap, type MapChoice } from "./saved-map.js";
import { settleUnits } from "./settle-units.js";
import { epochOrigin } from "./time/time-column.js";
import { readTime } from "./time/time-of-rows.js";
import { turnedVoltage } from "./turned-voltage.js";
import { refuseUnnamed } from "./unnamed-columns.js";

/**
 * The log's columns in base units, not yet normalised. All arrays have one value per row; NaN where none was logged. Voltage and current are infinite where the log has a mark for a
 * reading beyond the range.
 */
export interface LogChannels {
  readonly time: Float64Array;
  /** null when only cell voltages were logged. */
  readonly voltage: Float64Array | null;
  readonly current: Float64Array;
  /** The sign of discharge where the tester states it; else the pack tells (docs/definitions.md, 4). */
  readonly dischargeSign?: DischargeSign | null;
  /** The current was not logged: it is the logged power over the voltage, and as accurate as those. */
  readonly currentIsDerived: boolean;
  readonly temperatures: readonly Float64Array[];
  readonly cells: readonly Float64Array[];
  readonly power: Float64Array | null;
  readonly charge: Float64Array | null;
  readonly energy: Float64Array | null;
  /** Line of the log at which each row stands; empty where rows have no lines. */
  readonly lines: Uint32Array;
  /** Rows whose time cannot be read. */
  readonly lostRows: Counted;
  /** The channel that is taken on the line between readings of its own (docs/definitions.md, 2c); null or left out where voltage and current were read in each row. */
  readonly joined?: JoinedChannel | null;
  /** The columns of the log that they are read from, from 1 on; left out where they are made of others. */
  readonly columns?: { readonly voltage?: number; readonly current?: number };
}

export interface ReadLog {
  readonly channels: LogChannels;
  readonly readings: readonly ColumnReading[];
  readonly head: TableHead;
  /** What reading had to mend or to conclude. */
  readonly adjustments: readonly Adjustment[];
  /** Size as uploaded. */
  readonly bytes: number;
  readonly rows: number;
  /** The saved map that was applied. */
  readonly savedMap: SavedColumnMap | null;
}

/** Reads a log: unpacks and decodes it, finds its layout, gives its columns their channels and reads its rows. */
export async function readLog(log: ByteChunks, unpackedLimitBytes: number, maps: MapChoice = {}): Promise<ReadLog> {
  let bytes = 0;
  async function* counted() {
    for await (const chunk of log) {
      bytes += chunk.length;
      yield chunk;
    }
  }
  const { head, read } = await openTable(unpack(counted(), unpackedLimitBytes));
  const { columns: map, name, savedMap } = chooseMap(maps, head.headers);
  refuseUnnamed(head, map);
  const assigned = assignColumns(head, map, name);
  const isNumberTime = ({ channel, kind }: AssignedColumn) => channel === "time" && kind === "number";
  const origin = (column: AssignedColumn) =>
    isNumberTime(column) ? epochOrigin(head.firstCells[column.index] ?? "", head.decimalMark) : 0;
  const marked = withoutMarks(
    assigned,
    await read(
      assigned.columns.map((column) => ({ ...column, origin: origin(column) })),
      assigned.intervalS === null,
    ),
  );
  const { assignment, rows } = withoutEmptyColumns(assigned, marked.rows);
  const repaired = [...readingAdjustments(rows), ...marked.adjustments];
  const settled = settleUnits(assignment, rows, origin);
  const time = readTime(assignment, settled.columns, rows, head);
  const { channels, adjustments } = toChannels(assignment, settled.columns, rows, head);
  const joined = joinRates({ ...channels, time: time.seconds });
  return {
    channels: joined.channels,
    readings: settled.readings,
    head,
    adjustments: [...settled.adjustments, ...repaired, ...time.adjustments, ...adjustments, ...joined.adjustments],
    bytes,
    rows: time.seconds.length,
    savedMap,
  };
}

function toChannels(
  assignment: Assignment,
  columns: readonly AssignedColumn[],
  rows: Rows,
  head: TableHead,
): { readonly channels: Omit<LogChannels, "time">; readonly adjustments: readonly Adjustment[] } {
  const read = (channel: AssignedColumn["channel"]): Float64Array[] =>
    columns.flatMap((column, slot) =>
      column.channel === channel ? [inBaseUnit(rows.columns[slot] as Float64Array, column)] : [],
    );
  const placeOf = (name: "voltage" | "current", channel: AssignedColumn["channel"]) => {
    const column = columns.find((one) => one.channel === channel);
    return column && { [name]: column.index + 1 };
  };
  const turned = turnedVoltage(read("voltage")[0] ?? null);
  const cells = cellVoltages(assignment, columns, read("cell"), turned.voltage, head);
  const power = read("power")[0] ?? null;
  const derived = assignment.currentFromPower
    ? currentOfPower(power as Float64Array, cells.voltage, cells.cells)
    : null;
  return {
    channels: {
      voltage: cells.voltage,
      current: derived?.current ?? (read("current")[0] as Float64Array),
      dischargeSign: columns.find(({ channel }) => channel === "current")?.sign ?? null,
      currentIsDerived: derived !== null,
      temperatures: read("temperature"),
      cells: cells.cells,
      power: derived ? null : power,
      charge: read("charge")[0] ?? null,
      energy: read("energy")[0] ?? null,
      lines: rows.lines,
      lostRows: rows.lostRows,
      columns: { ...placeOf("voltage", "voltage"), ...placeOf("current", derived ? "power" : "current") },
    },
    adjustments: [...turned.adjustments, ...cells.adjustments, ...(derived ? [derived.adjustment] : [])],
  };
}

const inBaseUnit = (values: Float64Array, column: AssignedColumn): Float64Array =>
  column.unit ? toBaseUnit(values, column.unit) : values;
