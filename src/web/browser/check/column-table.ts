import { CHANNELS, type Channel } from "../../../core/model.js";
import { USUAL_UNITS } from "../../../core/units/units.js";
import { element } from "../elements.js";
import type { LogColumns } from "../log/messages.js";
import { optionsOf } from "../options.js";
import { type ColumnEdit, channelAt, columnsOf, factorAt, isDatePart, type MappedChannel } from "./column-edit.js";

const NAMES: Readonly<Record<Channel, string>> = {
  time: "Time",
  voltage: "Voltage",
  current: "Current",
  temperature: "Temperature",
  power: "Power",
  charge: "Charge",
  energy: "Energy",
  cell: "Voltage of one cell",
};
const CHOICES = {
  ...Object.fromEntries(CHANNELS.filter((one) => one !== "cell").map((one) => [one, NAMES[one]])),
};
/** How times that are no numbers are written. */
const WRITTEN: Readonly<Record<string, string>> = {
  clock: "time of day",
  iso: "date and time",
  "open-iso": "date and time",
  date: "date",
  "open-date": "date",
};
const HEADS = ["Column", "First value", "Read as", "Unit", "Multiplied by", "Why"];
const SHOWN_CHARACTERS = 40;

type Tell = (edit: ColumnEdit) => void;

/** The columns of a log, each with how it was read and a way to say otherwise. */
export function columnTable(columns: LogColumns, tell: Tell): HTMLElement {
  const table = element(
    "table",
    { class: "columns" },
    element("caption", { class: "unseen" }, "Columns of the log and how they are read"),
    element("thead", {}, element("tr", {}, ...HEADS.map((text) => element("th", { scope: "col" }, text)))),
    element("tbody", {}, ...columns.headers.map((_, at) => row(columns, at, tell))),
  );
  return element("div", { class: "scroll", tabindex: 0, role: "region", "aria-label": "Columns" }, table);
}

function row(columns: LogColumns, at: number, tell: Tell): HTMLElement {
  const { headers, firstCells, readings } = columns;
  const header = headers[at] ?? "";
  const name = header.trim() === "" ? `column ${at + 1}` : header;
  const channel = channelAt(columns, at);
  return element(
    "tr",
    { class: channel === null ? "aside" : null },
    element("th", { scope: "row" }, element("bdi", {}, name)),
    element("td", {}, element("bdi", {}, (firstCells[at] ?? "").slice(0, SHOWN_CHARACTERS))),
    element("td", {}, channelChoice(columns, at, name, tell)),
    element("td", {}, channel && unitChoice(columns, at, name, channel, tell)),
    element("td", {}, channel && factorField(columns, at, name, channel, tell)),
    element("td", { class: "why" }, readings[at]?.reason ?? (channel ? "named by the column map" : "not read yet")),
  );
}

/** Cells are told by their numbers and a date by the time beside it: neither is named by a map. */
function channelChoice(columns: LogColumns, at: number, name: string, tell: Tell): HTMLElement | string {
  if (isDatePart(columns, at)) return "Date of the time";
  const channel = channelAt(columns, at);
  if (channel === "cell") return NAMES.cell;
  const none = columns.readings.length > 0 ? "Ignored" : "Not read yet";
  const texts = { "": none, ...CHOICES };
  const select = element("select", { "aria-label": `Read ${name} as` }, ...optionsOf(texts, channel ?? ""));
  select.addEventListener("change", () =>
    tell({ kind: "channel", at, channel: select.value === "" ? null : (select.value as MappedChannel) }),
  );
  return select;
}

function unitChoice(
  columns: LogColumns,
  at: number,
  name: string,
  channel: Channel,
  tell: Tell,
): HTMLElement | string | null {
  const unit = columns.readings[at]?.unit ?? mappedUnit(columns, channel);
  if (unit !== null && !isOfNumbers(unit)) return WRITTEN[unit] ?? unit;
  if (!isNameable(columns, channel)) return unit;
  const usual = USUAL_UNITS[channel as MappedChannel];
  const known = [...new Set([...(unit ? [unit] : []), ...usual])];
  const texts = { "": "as its header says", ...Object.fromEntries(known.map((symbol) => [symbol, symbol])) };
  const select = element("select", { "aria-label": `Unit of ${name}` }, ...optionsOf(texts, unit ?? ""));
  select.addEventListener("change", () => tell({ kind: "unit", at, unit: select.value === "" ? null : select.value }));
  return select;
}

function factorField(columns: LogColumns, at: number, name: string, channel: Channel, tell: Tell): HTMLElement | null {
  const unit = columns.readings[at]?.unit ?? mappedUnit(columns, channel);
  if (unit === null || !isOfNumbers(unit) || !isNameable(columns, channel)) return null;
  const field = element("input", {
    type: "number",
    step: "any",
    min: 0,
    class: "factor",
    "aria-label": `Multiplied by, ${name}`,
    placeholder: "1",
    value: factorAt(columns, at),
  });
  field.addEventListener("change", () => {
    const factor = Number(field.value);
    tell({ kind: "factor", at, factor: field.value !== "" && factor > 0 ? factor : null });
  });
  return field;
}

/** A map names one column for a channel, and none for a cell. */
const isNameable = (columns: LogColumns, channel: Channel): boolean =>
  channel !== "cell" && columnsOf(columns, channel).length < 2;

const isOfNumbers = (unit: string): boolean => !(unit in WRITTEN) && !/[:/]/.test(unit);

function mappedUnit({ map }: LogColumns, channel: Channel): string | null {
  const wish = channel === "cell" ? null : map[channel];
  return typeof wish === "object" && wish !== null ? (wish.unit ?? null) : null;
}
