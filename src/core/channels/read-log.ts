import type { Adjustment, ColumnReading, SavedColumnMap } from "../model.js";
import { openTable } from "../table/open-table.js";
import type { Counted, Rows } from "../table/rows-read.js";
import type { TableHead } from "../table/table.js";
import { type ByteChunks, unpack } from "../table/unpack.js";
import type { DischargeSign } from "../trace/direction.js";
import { toBaseUnit } from "../units/units.js";
import { assignColumns } from "./assign.js";
import type { AssignedColumn } from "./assigned.js";
import { readingAdjustments } from "./reading-adjustments.js";
import { chooseMap, type MapChoice } from "./saved-map.js";
import { settleUnits } from "./settle-units.js";
import { epochOrigin } from "./time-column.js";
import { readTime } from "./time-of-rows.js";

/** The log's columns in base units, not yet normalised. All arrays have one value per row; NaN where none was logged. */
export interface LogChannels {
  readonly time: Float64Array;
  /** null when only cell voltages were logged. */
  readonly voltage: Float64Array | null;
  readonly current: Float64Array;
  /** The sign of discharge where the tester says it; else the pack tells (docs/definitions.md, 4). */
  readonly dischargeSign?: DischargeSign | null;
  readonly temperatures: readonly Float64Array[];
  readonly cells: readonly Float64Array[];
  readonly power: Float64Array | null;
  readonly charge: Float64Array | null;
  readonly energy: Float64Array | null;
  /** Line of the log at which each row stands; empty where rows have no lines. */
  readonly lines: Uint32Array;
  /** Rows whose time cannot be read. */
  readonly lostRows: Counted;
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
  const { columns, name, savedMap } = chooseMap(maps, head.headers);
  const assignment = assignColumns(head, columns, name);
  const isNumberTime = ({ channel, kind }: AssignedColumn) => channel === "time" && kind === "number";
  const origin = (column: AssignedColumn) =>
    isNumberTime(column) ? epochOrigin(head.firstCells[column.index] ?? "", head.decimalMark) : 0;
  const rows = await read(
    assignment.columns.map((column) => ({ index: column.index, kind: column.kind, origin: origin(column) })),
  );
  const mended = readingAdjustments(rows);
  const settled = settleUnits(assignment, head.headers, rows, origin);
  const time = readTime(settled.columns, rows, head);
  return {
    channels: { ...toChannels(settled.columns, rows), time: time.seconds },
    readings: settled.readings,
    head,
    adjustments: [...settled.adjustments, ...mended, ...time.adjustments],
    bytes,
    rows: time.seconds.length,
    savedMap,
  };
}

function toChannels(columns: readonly AssignedColumn[], rows: Rows): Omit<LogChannels, "time"> {
  const read = (channel: AssignedColumn["channel"]): Float64Array[] =>
    columns.flatMap((column, slot) =>
      column.channel === channel ? [inBaseUnit(rows.columns[slot] as Float64Array, column)] : [],
    );
  return {
    voltage: read("voltage")[0] ?? null,
    current: read("current")[0] as Float64Array,
    temperatures: read("temperature"),
    cells: read("cell"),
    power: read("power")[0] ?? null,
    charge: read("charge")[0] ?? null,
    energy: read("energy")[0] ?? null,
    lines: rows.lines,
    lostRows: rows.lostRows,
  };
}

const inBaseUnit = (values: Float64Array, column: AssignedColumn): Float64Array =>
  column.unit ? toBaseUnit(values, column.unit) : values;
