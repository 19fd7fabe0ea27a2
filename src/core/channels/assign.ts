import type { Channel, ColumnMap, ColumnReading } from "../model.js";
import { LogError } from "../table/log-error.js";
import type { TableHead } from "../table/table.js";
import type { Assigned, AssignedColumn } from "./assigned.js";
import { assignByHeader, assignCells, assignDate, assignTemperatures } from "./by-header.js";
import { assignByMap, type MappedChannel } from "./by-map.js";
import { type Column, hasWord, isForeign, NEEDED } from "./column.js";
import { readHeader } from "./header.js";
import { proposalFor } from "./proposal.js";
import { noColumn } from "./refusals.js";

export interface Assignment {
  readonly columns: readonly AssignedColumn[];
  readonly readings: readonly ColumnReading[];
}

const SINGLE: readonly Channel[] = [...NEEDED, "power", "charge", "energy"];

/**
 * Gives each column of a log its channel and unit: by the tester's column map where it names one, else by the words
 * and the unit in its header. A choice between equals is never made silently.
 *
 * @param mapName how messages and reasons call the map
 * @throws LogError `log-column-missing`, `log-column-ambiguous` or `log-unit-missing`, with the candidates; for a column
 *   without any word on its unit the refusal is left in `unitMissing`
 */
export function assignColumns(layout: TableHead, map: ColumnMap = {}, mapName = "the column map"): Assignment {
  const columns = layout.headers.map(
    (header, index): Column => ({
      ...readHeader(header, layout.unitsRow?.[index] ?? null),
      header,
      index,
      firstCell: (layout.firstCells[index] ?? "").trim().replaceAll('"', ""),
    }),
  );
  const assigned: Assigned = new Map();
  const open = new Map<Channel, LogError>();
  const settle = (channel: Channel, step: () => void) => {
    if (!open.has(channel)) keepRefusal(channel, step, open);
  };
  for (const [channel, wish] of Object.entries(map) as [MappedChannel, ColumnMap[MappedChannel]][]) {
    if (wish !== undefined) {
      settle(channel, () => assignByMap(columns, channel, wish, mapName, layout.headerLine, assigned));
    }
  }
  assignCells(columns, assigned);
  if (map.temperature === undefined) assignTemperatures(columns, assigned);
  for (const channel of SINGLE) {
    settle(channel, () => assignByHeader(columns, channel, layout.headerLine, assigned));
  }
  for (const channel of NEEDED) settle(channel, () => requireChannel(channel, columns, layout.headerLine, assigned));
  const [first] = open;
  if (first) throw withProposal(first[1], first[0], columns, [...assigned.values()]);
  assignDate(columns, assigned);
  const inOrder = [...assigned.values()].sort((a, b) => order(a) - order(b) || a.index - b.index);
  return {
    columns: inOrder.map(({ channel, index, kind, unit, unitMissing }) => ({
      channel,
      index,
      kind,
      unit,
      unitMissing:
        unitMissing &&
        withProposal(
          unitMissing,
          channel,
          columns,
          inOrder.filter((other) => other.index !== index),
        ),
    })),
    readings: columns.map((column) => readingOf(column, assigned.get(column.index))),
  };
}

function readingOf(column: Column, found: (AssignedColumn & { reason: string }) | undefined): ColumnReading {
  const { header } = column;
  if (found) {
    const unit = found.unit?.symbol ?? (found.kind === "number" ? null : found.kind);
    return { header, channel: found.channel, unit, reason: found.reason };
  }
  const lacksUnit =
    column.unit === null && column.unknownUnit === null && WITH_UNIT.some((one) => hasWord(column, one));
  return {
    header,
    channel: null,
    unit: column.unit?.symbol ?? null,
    reason: lacksUnit && !isForeign(column) ? "left aside, since its unit is not given" : "not needed",
  };
}

const WITH_UNIT: readonly Channel[] = ["temperature", "cell", "power", "charge", "energy"];

const order = ({ channel, kind }: AssignedColumn): number =>
  [...SINGLE, "temperature", "cell"].indexOf(channel) + (kind === "date" ? 0.5 : 0);

/** A channel that stays open does not keep the others from being settled, for the sake of the proposal. */
function keepRefusal(channel: Channel, step: () => void, open: Map<Channel, LogError>): void {
  try {
    step();
  } catch (error) {
    if (!(error instanceof LogError)) throw error;
    open.set(channel, error);
  }
}

function withProposal(
  { code, message, places }: LogError,
  channel: Channel,
  columns: readonly Column[],
  settled: readonly AssignedColumn[],
): LogError {
  return new LogError(code, message, places, proposalFor(channel, columns, settled));
}

function requireChannel(channel: Channel, columns: readonly Column[], headerLine: number, assigned: Assigned): void {
  const found = [...assigned.values()].some(
    (column) => column.channel === channel || (channel === "voltage" && column.channel === "cell"),
  );
  if (found) return;
  throw noColumn(channel, columns, headerLine);
}
