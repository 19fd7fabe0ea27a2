import type { Channel, ColumnMap, ColumnReading } from "../model.js";
import { LogError } from "../table/log-error.js";
import type { TableHead } from "../table/table.js";
import { type Assigned, type AssignedColumn, hasChannel } from "./assigned.js";
import { assignByHeader, assignCells, assignDate, assignTemperatures } from "./by-header.js";
import { assignByMap, type MappedChannel, mappedIntervalS } from "./by-map.js";
import { type Column, fitOf, NEEDED, names, otherWords, unknownWords } from "./column.js";
import { columnsOf } from "./columns-of.js";
import { proposalFor } from "./proposal.js";
import { contradiction, noColumn, unknownQualifier, unknownUnit } from "./refusals.js";

export interface Assignment {
  readonly columns: readonly AssignedColumn[];
  readonly readings: readonly ColumnReading[];
  /** What the columns are called in maps and refusals, and in which line. */
  readonly log: readonly Column[];
  readonly headerLine: number;
  /** Seconds between two rows, where no column is the time. */
  readonly intervalS: number | null;
  /** The current is to be derived from power and voltage. */
  readonly currentFromPower: boolean;
}

const SINGLE: readonly Channel[] = [...NEEDED, "power", "charge", "energy"];

/**
 * Gives each column of a log its channel and unit: by the tester's column map where it names one, else by the words
 * and the unit in its header, all of which have to be known. A choice between equals is never made silently.
 *
 * @param mapName how messages and reasons call the map
 * @throws LogError `log-column-missing`, `log-column-ambiguous` or `log-unit-missing`, with the candidates; for a column
 *   without any word on its unit the refusal is left in `unitMissing`
 */
export function assignColumns(layout: TableHead, map: ColumnMap = {}, mapName = "the column map"): Assignment {
  const columns = columnsOf(layout);
  const { headerLine } = layout;
  const assigned: Assigned = new Map();
  const open = new Map<Channel, LogError>();
  const settle = (channel: Channel, step: () => void) => {
    if (!open.has(channel)) keepRefusal(channel, step, open);
  };
  const isOpen = (channel: Channel) => !(channel in map) || map[channel as MappedChannel] === undefined;
  for (const [channel, wish] of Object.entries(map) as [MappedChannel, ColumnMap[MappedChannel]][]) {
    if (wish) settle(channel, () => assignByMap(columns, channel, wish, mapName, headerLine, assigned));
  }
  assignCells(columns, headerLine, assigned);
  if (isOpen("temperature")) assignTemperatures(columns, headerLine, assigned);
  const intervalS = mappedIntervalS(map);
  for (const channel of SINGLE) {
    const isLeft = channel === "time" && intervalS !== null;
    if (isOpen(channel) && !isLeft) settle(channel, () => assignByHeader(columns, channel, headerLine, assigned));
  }
  const declaredS = intervalS ?? layout.interval?.seconds ?? null;
  const currentFromPower = !hasChannel(assigned, "current") && isDerivable(columns, assigned) && !open.has("current");
  for (const channel of NEEDED) {
    const isGiven = (channel === "time" && declaredS !== null) || (channel === "current" && currentFromPower);
    if (!isGiven) settle(channel, () => requireChannel(channel, columns, headerLine, assigned));
  }
  if (isOpen("temperature")) settle("temperature", () => refuseUnknown("temperature", columns, headerLine, assigned));
  const [first] = open;
  if (first) throw withProposal(first[1], first[0], columns, [...assigned.values()], map);
  assignDate(columns, assigned);
  const inOrder = [...assigned.values()].sort((a, b) => order(a) - order(b) || a.index - b.index);
  return {
    columns: inOrder.map(({ reason: _, unitMissing, ...column }) => ({
      ...column,
      unitMissing:
        unitMissing &&
        withProposal(
          unitMissing,
          column.channel,
          columns,
          inOrder.filter(({ index }) => index !== column.index),
          map,
        ),
    })),
    readings: columns.map((column) => readingOf(column, assigned.get(column.index))),
    log: columns,
    headerLine,
    intervalS: hasChannel(assigned, "time") ? null : declaredS,
    currentFromPower,
  };
}

function readingOf(column: Column, found: (AssignedColumn & { reason: string }) | undefined): ColumnReading {
  const { header } = column;
  if (found) {
    const unit = found.unit?.symbol ?? (found.kind === "number" ? null : found.kind);
    return { header, channel: found.channel, unit, reason: found.reason };
  }
  return { header, channel: null, unit: column.unit?.symbol ?? null, reason: reasonAside(column) };
}

function reasonAside(column: Column): string {
  const channel = [...SINGLE, "temperature" as const, "cell" as const].find((one) => fitOf(column, one) !== "none");
  if (!channel) return "not needed";
  const others = otherWords(column, channel);
  if (others.length > 0) return `not the pack's own reading at each instant: ${others.join(", ")}`;
  const unknown = unknownWords(column, channel);
  if (unknown.length > 0) return `left aside, since its header says what is not known here: ${unknown.join(", ")}`;
  const lacksUnit = column.unit === null && column.unknownUnit === null;
  return lacksUnit && !NEEDED.includes(channel) && names(column, channel)
    ? "left aside, since its unit is not given"
    : "not needed";
}

const order = ({ channel, kind }: AssignedColumn): number =>
  [...SINGLE, "temperature", "cell"].indexOf(channel) + (kind === "date" || kind === "open-date" ? 0.5 : 0);

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
  map: ColumnMap,
): LogError {
  return new LogError(code, message, places, proposalFor(channel, columns, settled, map));
}

/** A power and a voltage are logged, and nothing that may be the current (P = V I). */
function isDerivable(columns: readonly Column[], assigned: Assigned): boolean {
  const isNone = columns.every((column) => {
    const fit = fitOf(column, "current");
    return assigned.has(column.index) || fit === "none" || fit === "other";
  });
  return isNone && hasChannel(assigned, "power") && (hasChannel(assigned, "voltage") || hasChannel(assigned, "cell"));
}

function requireChannel(channel: Channel, columns: readonly Column[], headerLine: number, assigned: Assigned): void {
  if (hasChannel(assigned, channel) || (channel === "voltage" && hasChannel(assigned, "cell"))) return;
  refuseUnknown(channel, columns, headerLine, assigned);
  const others = columns.filter((column) => fitOf(column, channel) === "other" && names(column, channel));
  throw noColumn(channel, columns, others, headerLine);
}

/** Nothing unknown is guessed: a column that would be the channel but for its words is asked about. */
function refuseUnknown(channel: Channel, columns: readonly Column[], headerLine: number, assigned: Assigned): void {
  if (hasChannel(assigned, channel)) return;
  const free = columns.filter(
    (column) =>
      !assigned.has(column.index) && (channel !== "temperature" || column.unit !== null || names(column, channel)),
  );
  const strange = free.filter(
    (column) => names(column, channel) && column.unknownUnit !== null && otherWords(column, channel).length === 0,
  );
  if (strange.length > 0) throw unknownUnit(channel, strange, headerLine);
  const unknown = free.filter((column) => fitOf(column, channel) === "unknown");
  if (unknown.length > 0) throw unknownQualifier(channel, unknown, headerLine);
  const contradicted = free.filter((column) => fitOf(column, channel) === "contradicted");
  if (contradicted.length > 0) throw contradiction(channel, contradicted, headerLine);
}
