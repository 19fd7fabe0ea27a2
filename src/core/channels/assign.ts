import type { Channel, ColumnMap, ColumnReading } from "../model.js";
import { LogError } from "../table/log-error.js";
import type { TableHead } from "../table/open-table.js";
import type { CellKind } from "../table/rows.js";
import { isClockUnit, parseUnit, UNIT_SYMBOLS, type Unit } from "../units/units.js";
import {
  type Column,
  couldBe,
  DIMENSION_OF,
  hasWord,
  isForeign,
  isQualified,
  NEEDED,
  namesTemperature,
} from "./column.js";
import { readHeader } from "./header.js";
import { proposalFor } from "./proposal.js";
import { dateBeside, oneTimeOf, timeKindOf } from "./time-column.js";
import { WORDS_OF_PACK } from "./words.js";

/** A column of the log that was given a channel. */
export interface AssignedColumn {
  readonly channel: Channel;
  readonly index: number;
  readonly kind: CellKind;
  /** null for times that carry their own, and for numbers whose unit only their magnitude may tell. */
  readonly unit: Unit | null;
  /** Why the log is refused when the magnitude does not tell the unit; null when the unit is known. */
  readonly unitMissing: LogError | null;
}

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
  assignTemperatures(columns, map, assigned);
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

type Assigned = Map<number, AssignedColumn & { reason: string }>;
type MappedChannel = keyof ColumnMap;

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

function assignByMap(
  columns: readonly Column[],
  channel: MappedChannel,
  wish: NonNullable<ColumnMap[MappedChannel]>,
  mapName: string,
  headerLine: number,
  assigned: Assigned,
): void {
  const name = typeof wish === "string" ? wish : wish.name;
  const matches = columns.filter((column) => column.header === name.trim());
  const [column] = matches;
  if (!column || matches.length > 1) {
    throw new LogError(
      column ? "log-column-ambiguous" : "log-column-missing",
      `${startSentence(mapName)} names "${name}" for ${channel}, and the log has ${column ? "several such columns" : "no such column"}. Its columns are: ${listHeaders(columns)}.`,
      [{ line: headerLine, message: `column "${name}"` }],
    );
  }
  const stated = typeof wish === "string" ? column.unit : parseUnit(wish.unit);
  if (typeof wish !== "string" && (!stated || stated.dimension !== DIMENSION_OF[channel])) {
    throw new LogError(
      "log-unit-missing",
      `${startSentence(mapName)} gives ${channel} the unit "${wish.unit}", which is none of: ${unitsFor(channel)}.`,
      [{ line: headerLine, column: column.index + 1, message: column.header }],
    );
  }
  const fitting = stated?.dimension === DIMENSION_OF[channel] ? stated : null;
  assigned.set(column.index, {
    ...withUnit(column, channel, fitting, headerLine),
    reason: `named by ${mapName}`,
  });
}

function assignCells(columns: readonly Column[], assigned: Assigned): void {
  for (const column of columns) {
    const numbered = column.words.some((word) => /^\d+$/.test(word));
    const named = hasWord(column, "cell") || column.words.some((word) => /^(u|v|c)$/.test(word));
    if (assigned.has(column.index) || column.unit?.dimension !== "voltage" || !numbered || !named) continue;
    assigned.set(column.index, {
      channel: "cell",
      index: column.index,
      kind: "number",
      unit: column.unit,
      unitMissing: null,
      reason: "a cell by its number",
    });
  }
}

function assignTemperatures(columns: readonly Column[], map: ColumnMap, assigned: Assigned): void {
  if (map.temperature !== undefined) return;
  for (const column of columns) {
    const fits = column.unit?.dimension === "temperature" && !isForeign(column) && namesTemperature(column);
    if (assigned.has(column.index) || !fits) continue;
    assigned.set(column.index, {
      channel: "temperature",
      index: column.index,
      kind: "number",
      unit: column.unit,
      unitMissing: null,
      reason: "a temperature by its unit",
    });
  }
}

function assignByHeader(columns: readonly Column[], channel: Channel, headerLine: number, assigned: Assigned): void {
  if ([...assigned.values()].some((column) => column.channel === channel)) return;
  const free = columns.filter(
    (column) => !assigned.has(column.index) && !isForeign(column) && couldBe(column, channel),
  );
  const named = withoutStatistics(free.filter((column) => hasWord(column, channel)));
  const ofPack = named.filter((column) => column.words.some((word) => WORDS_OF_PACK.has(word)));
  const choice = named.length > 1 && ofPack.length === 1 ? ofPack : named.length > 0 ? named : withoutStatistics(free);
  const oneTime = channel === "time" ? oneTimeOf(choice) : null;
  const column = oneTime?.column ?? choice[0];
  if (!column) return;
  if (choice.length > 1 && !oneTime) {
    if (!NEEDED.includes(channel)) return;
    throw ambiguous(channel, choice, headerLine);
  }
  const byHeader = hasWord(column, channel) ? `named ${channel} in its header` : "the only column in such a unit";
  const reason = oneTime?.reason ?? byHeader;
  assigned.set(column.index, { ...withUnit(column, channel, column.unit, headerLine), reason });
}

/** Statistics yield to the readings they are of. */
function withoutStatistics(choice: readonly Column[]): readonly Column[] {
  const readings = choice.filter((column) => !isQualified(column));
  return readings.length > 0 ? readings : choice;
}

/** A date beside a clock says on which day it is. */
function assignDate(columns: readonly Column[], assigned: Assigned): void {
  const clock = [...assigned.values()].find(({ channel, kind }) => channel === "time" && kind === "clock");
  const date = clock && dateBeside(columns.filter(({ index }) => !assigned.has(index)));
  if (!date) return;
  const { index } = date;
  const reason = "the day of the time of day beside it";
  assigned.set(index, { channel: "time", index, kind: "date", unit: null, unitMissing: null, reason });
}

function withUnit(column: Column, channel: Channel, unit: Unit | null, headerLine: number): AssignedColumn {
  const { index, header } = column;
  const written = channel === "time" ? timeKindOf(column) : null;
  if (written) {
    return { channel, index, kind: written, unit: unit && isClockUnit(unit) ? unit : null, unitMissing: null };
  }
  if (unit && !isClockUnit(unit)) return { channel, index, kind: "number", unit, unitMissing: null };
  const refusal = new LogError(
    "log-unit-missing",
    `The column "${header}" is the ${channel}, but its unit is not given. Write the unit into the header, such as "${header} [${unitsFor(channel).split(", ")[0]}]", or send it in the column map: {"${channel}": {"name": ${JSON.stringify(header)}, "unit": "..."}} with one of: ${unitsFor(channel)}.`,
    [{ line: headerLine, column: index + 1, message: header }],
  );
  if (!NEEDED.includes(channel) || column.unknownUnit !== null || unit) throw refusal;
  return { channel, index, kind: "number", unit: null, unitMissing: refusal };
}

function requireChannel(channel: Channel, columns: readonly Column[], headerLine: number, assigned: Assigned): void {
  const found = [...assigned.values()].some(
    (column) => column.channel === channel || (channel === "voltage" && column.channel === "cell"),
  );
  if (found) return;
  throw new LogError(
    "log-column-missing",
    `No column of the log is the ${channel}. Its columns are: ${listHeaders(columns)}. Name one in the column map, such as {"${channel}": {"name": "...", "unit": "${unitsFor(channel).split(", ")[0]}"}}, or log the ${channel}.`,
    [{ line: headerLine, message: `no ${channel} column` }],
  );
}

function ambiguous(channel: Channel, choice: readonly Column[], headerLine: number): LogError {
  const [first] = choice;
  return new LogError(
    "log-column-ambiguous",
    `Several columns could be the ${channel}: ${listHeaders(choice)}. Say which in the column map, such as {"${channel}": ${JSON.stringify(first?.header)}}.`,
    choice.map((column) => ({ line: headerLine, column: column.index + 1, message: column.header })),
  );
}

const startSentence = (text: string): string => `${text.charAt(0).toUpperCase()}${text.slice(1)}`;
const listHeaders = (columns: readonly Column[]): string =>
  columns.map((column) => JSON.stringify(column.header.slice(0, 60))).join(", ");
const unitsFor = (channel: Channel): string =>
  UNIT_SYMBOLS.filter((symbol) => parseUnit(symbol)?.dimension === DIMENSION_OF[channel]).join(", ");
