import type { Channel } from "../model.js";
import { LogError } from "../table/log-error.js";
import { parseUnit, UNIT_SYMBOLS, USUAL_UNITS } from "../units/units.js";
import { type Column, DIMENSION_OF, otherWords, unknownWords } from "./column.js";

const placesOf = (columns: readonly Column[], headerLine: number) =>
  columns.map((column) => ({
    line: headerLine,
    column: column.index + 1,
    message: column.header === "" ? nameOf(column) : column.header,
  }));

const mapExample = (channel: Channel, column: Column | undefined): string =>
  `{"${channel}": ${column && column.header !== "" ? JSON.stringify(column.header) : `{"column": ${(column?.index ?? 0) + 1}}`}}`;

export function ambiguous(channel: Channel, choice: readonly Column[], headerLine: number): LogError {
  return new LogError(
    "log-column-ambiguous",
    `Several columns could be the ${channel}: ${listHeaders(choice)}. Say which in the column map, such as ${mapExample(channel, choice[0])}.`,
    placesOf(choice, headerLine),
  );
}

/** No column is the channel but for words that are not known here. */
export function unknownQualifier(channel: Channel, choice: readonly Column[], headerLine: number): LogError {
  const words = [...new Set(choice.flatMap((column) => unknownWords(column, channel)))].map((word) => `"${word}"`);
  const [first] = choice;
  const isOne = choice.length === 1;
  const none = channel === "temperature" ? `, or {"temperature": null} if ${isOne ? "it is" : "they are"} not` : "";
  return new LogError(
    "log-column-ambiguous",
    `${isOne ? `The column ${listHeaders(choice)} may be` : `The columns ${listHeaders(choice)} may each be`} the pack's ${channel}, but the header says ${words.join(", ")}, which is not known here. If ${isOne ? "it is" : "one is"} the pack's, say so in the column map: ${mapExample(channel, first)}${none}.`,
    placesOf(choice, headerLine),
  );
}

/** The channel's column has a unit that is none. */
export function unknownUnit(channel: Channel, choice: readonly Column[], headerLine: number): LogError {
  const [first] = choice;
  return new LogError(
    "log-unit-missing",
    `The column ${listHeaders(choice.slice(0, 1))} is named ${channel}, and its unit "${first?.unknownUnit?.slice(0, 40)}" is not a unit of ${channel} known here. Correct the header, or send the unit of its numbers in the column map: {"${channel}": {"name": ${JSON.stringify(first?.header)}, "unit": "..."}} with one of: ${unitsFor(channel)}.`,
    placesOf(choice, headerLine),
  );
}

/** The name of a column and its unit, or its header and the units row, do not agree. */
export function contradiction(channel: Channel, choice: readonly Column[], headerLine: number): LogError {
  const [first] = choice;
  const units = first?.unitsDisagree;
  const seen = units
    ? `states two units, ${units.join(" and ")}`
    : `is named ${first?.quantities[0]} and its unit, ${first?.unit?.symbol}, is one of ${first?.unit?.dimension}`;
  return new LogError(
    "log-column-ambiguous",
    `The column ${listHeaders(choice.slice(0, 1))} ${seen}. One of the two is wrong. Correct the header, or say in the column map what its numbers are, such as {"${channel}": {"name": ${JSON.stringify(first?.header)}, "unit": "${USUAL_UNITS[DIMENSION_OF[channel]][0]}"}}.`,
    placesOf(choice, headerLine),
  );
}

export function noColumn(
  channel: Channel,
  columns: readonly Column[],
  others: readonly Column[],
  headerLine: number,
): LogError {
  const aside =
    others.length === 0
      ? ""
      : ` Set aside by what their headers say: ${others.map((column) => `${nameOf(column)} (${otherWords(column, channel).join(", ")})`).join("; ")}.`;
  const interval = channel === "time" ? ' or give the interval between rows, such as {"time": {"interval": 0.2}},' : "";
  return new LogError(
    "log-column-missing",
    `The log has no column for the ${channel}. Its columns are: ${listHeaders(columns)}.${aside} If one of them is the ${channel}, name it in the column map, such as {"${channel}": {"name": "...", "unit": "${USUAL_UNITS[DIMENSION_OF[channel]][0]}"}},${interval} or log the ${channel}.`,
    others.length > 0 ? placesOf(others, headerLine) : [{ line: headerLine, message: `no ${channel} column` }],
  );
}

export function noUnit(column: Column, channel: Channel, headerLine: number): LogError {
  const { header, index } = column;
  const name = header === "" ? `"column": ${index + 1}` : `"name": ${JSON.stringify(header)}`;
  const unit = USUAL_UNITS[DIMENSION_OF[channel]][0];
  const none = channel === "temperature" ? `, or {"temperature": null} if it is not the pack's` : "";
  return new LogError(
    "log-unit-missing",
    `The column ${nameOf(column)} is the ${channel}, but its unit is not given. Write the unit into the header, such as "${header} [${unit}]", or send it in the column map: {"${channel}": {${name}, "unit": "..."}} with one of: ${unitsFor(channel)}${none}.`,
    placesOf([column], headerLine),
  );
}

export const startSentence = (text: string): string => `${text.charAt(0).toUpperCase()}${text.slice(1)}`;
export const nameOf = ({ header, index }: Column): string =>
  header === "" ? `column ${index + 1}` : JSON.stringify(header.slice(0, 60));
export const listHeaders = (columns: readonly Column[]): string => columns.map(nameOf).join(", ");
export const unitsFor = (channel: Channel): string =>
  UNIT_SYMBOLS.filter((symbol) => parseUnit(symbol)?.dimension === DIMENSION_OF[channel]).join(", ");
