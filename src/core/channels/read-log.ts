import type { ColumnReading, SavedColumnMap } from "../model.js";
import { findLayout, type Layout } from "../table/layout.js";
import { LogError } from "../table/log-error.js";
import { RowReader, type Rows } from "../table/rows.js";
import { textBytes } from "../table/text.js";
import { type ByteChunks, unpack } from "../table/unpack.js";
import { toBaseUnit } from "../units/units.js";
import { type AssignedColumn, type Assignment, assignColumns } from "./assign.js";
import { chooseMap, type MapChoice } from "./saved-map.js";

/** Bytes looked at to find the layout. */
const HEAD_BYTES = 1 << 18;

/** The log's columns in base units, not yet normalised. All arrays have one value per row; NaN where none was logged. */
export interface LogChannels {
  readonly time: Float64Array;
  /** null when only cell voltages were logged. */
  readonly voltage: Float64Array | null;
  readonly current: Float64Array;
  readonly temperatures: readonly Float64Array[];
  readonly cells: readonly Float64Array[];
  readonly power: Float64Array | null;
  readonly charge: Float64Array | null;
  readonly energy: Float64Array | null;
  /** Line of the log at which each row stands. */
  readonly lines: Uint32Array;
  readonly strayLines: Rows["strayLines"];
  readonly lostRows: Rows["lostRows"];
  readonly unreadableCells: Rows["unreadableCells"];
}

export interface ReadLog {
  readonly channels: LogChannels;
  readonly readings: readonly ColumnReading[];
  readonly layout: Layout;
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
  const text = textBytes(unpack(counted(), unpackedLimitBytes))[Symbol.asyncIterator]();
  const head = await readHead(text);
  const layout = findLayout(head.subarray(0, HEAD_BYTES));
  const { columns, name, savedMap } = chooseMap(maps, layout.headers);
  const assignment = assignColumns(layout, columns, name);
  const reader = new RowReader(
    layout,
    assignment.columns.map(({ index, kind }) => ({ index, kind })),
  );
  reader.push(head.subarray(layout.dataOffset));
  for (let next = await text.next(); !next.done; next = await text.next()) reader.push(next.value);
  const rows = reader.finish();
  return {
    channels: toChannels(assignment, rows),
    readings: assignment.readings,
    layout,
    bytes,
    rows: rows.lines.length,
    savedMap,
  };
}

async function readHead(text: AsyncIterator<Uint8Array>): Promise<Uint8Array> {
  const parts: Uint8Array[] = [];
  for (let size = 0; size < HEAD_BYTES; ) {
    const next = await text.next();
    if (next.done) break;
    parts.push(next.value);
    size += next.value.length;
  }
  const head = Buffer.concat(parts);
  if (head.every((byte) => byte <= 0x20)) {
    throw new LogError(
      "log-empty",
      "The log is empty. Upload the file that the logger wrote, with its header row and samples.",
    );
  }
  return head;
}

function toChannels(assignment: Assignment, rows: Rows): LogChannels {
  const read = (channel: AssignedColumn["channel"]): Float64Array[] =>
    assignment.columns.flatMap((column, slot) =>
      column.channel === channel ? [inBaseUnit(rows.columns[slot] as Float64Array, column)] : [],
    );
  return {
    time: read("time")[0] as Float64Array,
    voltage: read("voltage")[0] ?? null,
    current: read("current")[0] as Float64Array,
    temperatures: read("temperature"),
    cells: read("cell"),
    power: read("power")[0] ?? null,
    charge: read("charge")[0] ?? null,
    energy: read("energy")[0] ?? null,
    lines: rows.lines,
    strayLines: rows.strayLines,
    lostRows: rows.lostRows,
    unreadableCells: rows.unreadableCells,
  };
}

const inBaseUnit = (values: Float64Array, column: AssignedColumn): Float64Array =>
  column.unit ? toBaseUnit(values, column.unit) : values;
