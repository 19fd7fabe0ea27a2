import type { Channel } from "../model.js";
import { LogError } from "../table/log-error.js";
import { parseUnit, UNIT_SYMBOLS } from "../units/units.js";
import { type Column, DIMENSION_OF } from "./column.js";

export function ambiguous(channel: Channel, choice: readonly Column[], headerLine: number): LogError {
  const [first] = choice;
  return new LogError(
    "log-column-ambiguous",
    `Several columns could be the ${channel}: ${listHeaders(choice)}. Say which in the column map, such as {"${channel}": ${JSON.stringify(first?.header)}}.`,
    choice.map((column) => ({ line: headerLine, column: column.index + 1, message: column.header })),
  );
}

export function noColumn(channel: Channel, columns: readonly Column[], headerLine: number): LogError {
  return new LogError(
    "log-column-missing",
    `No column of the log is the ${channel}. Its columns are: ${listHeaders(columns)}. Name one in the column map, such as {"${channel}": {"name": "...", "unit": "${unitsFor(channel).split(", ")[0]}"}}, or log the ${channel}.`,
    [{ line: headerLine, message: `no ${channel} column` }],
  );
}

export function noUnit({ header, index }: Column, channel: Channel, headerLine: number): LogError {
  return new LogError(
    "log-unit-missing",
    `The column "${header}" is the ${channel}, but its unit is not given. Write the unit into the header, such as "${header} [${unitsFor(channel).split(", ")[0]}]", or send it in the column map: {"${channel}": {"name": ${JSON.stringify(header)}, "unit": "..."}} with one of: ${unitsFor(channel)}.`,
    [{ line: headerLine, column: index + 1, message: header }],
  );
}

export const startSentence = (text: string): string => `${text.charAt(0).toUpperCase()}${text.slice(1)}`;
export const listHeaders = (columns: readonly Column[]): string =>
  columns.map((column) => JSON.stringify(column.header.slice(0, 60))).join(", ");
export const unitsFor = (channel: Channel): string =>
  UNIT_SYMBOLS.filter((symbol) => parseUnit(symbol)?.dimension === DIMENSION_OF[channel]).join(", ");
