import { CHANNELS, type Channel, type ColumnMap, type ColumnReading, type ColumnWish } from "../../../core/model.js";
import { USUAL_UNITS } from "../../../core/units/units.js";
import { element } from "../elements.js";
import type { LogColumns } from "../log/messages.js";

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
const MAPPED = CHANNELS.filter((channel) => channel !== "cell");
const DIRECTIONS = {
  "": "as the pack shows",
  "discharge-positive": "positive",
  "discharge-negative": "negative",
} as const;

/** What is chosen for one column. */
interface Chosen {
  readonly channel: string;
  readonly unit: string;
}

/** The columns of a log, each with how it was read and a way to say otherwise. */
export function columnTable(
  { headers, firstCells, readings }: LogColumns,
  choose: (map: ColumnMap) => void,
): HTMLElement {
  const rows = headers.map((header, at) => row(header, at, firstCells[at] ?? "", readings[at]));
  const direction = element("select", { id: "direction" }, ...optionsOf(DIRECTIONS, ""));
  const change = () =>
    choose(
      mapOf(
        rows.map(({ chosen }) => chosen()),
        readings,
        direction.value,
      ),
    );
  const table = element(
    "table",
    { class: "columns" },
    element("caption", { class: "unseen" }, "Columns of the log and how they are read"),
    element("thead", {}, element("tr", {}, ...["Column", "First value", "Read as", "In", "Why"].map(heading))),
    element("tbody", {}, ...rows.map(({ line }) => line)),
  );
  table.addEventListener("change", change);
  direction.addEventListener("change", change);
  const turn = element("label", { for: "direction" }, "Current of a discharge is ", direction);
  return element(
    "div",
    {},
    element("div", { class: "scroll", tabindex: 0, role: "region", "aria-label": "Columns" }, table),
    turn,
  );
}

const heading = (text: string): HTMLElement => element("th", { scope: "col" }, text);

function row(header: string, at: number, firstCell: string, reading: ColumnReading | undefined) {
  const name = header.trim() === "" ? `column ${at + 1}` : header;
  const channel = reading?.channel ?? "";
  const select = element(
    "select",
    { "aria-label": `Read ${name} as`, disabled: channel === "cell" },
    ...optionsOf({ "": "Left aside", ...NAMES }, channel).filter(({ value }) => value !== "cell" || channel === "cell"),
  );
  const units = element("select", { "aria-label": `Unit of ${name}` });
  const fillUnits = () =>
    units.replaceChildren(...unitOptions(select.value, select.value === channel ? reading?.unit : null));
  fillUnits();
  select.addEventListener("change", fillUnits);
  const line = element(
    "tr",
    { class: channel === "" ? "aside" : null },
    element("th", { scope: "row" }, element("bdi", {}, name)),
    element("td", {}, element("bdi", {}, firstCell.slice(0, 40))),
    element("td", {}, select),
    element("td", {}, units),
    element("td", { class: "why" }, reading?.reason ?? "not read yet"),
  );
  return { line, chosen: (): Chosen => ({ channel: select.value, unit: units.value }) };
}

function unitOptions(channel: string, unit: string | null | undefined): HTMLOptionElement[] {
  if (channel === "") return [];
  const usual = USUAL_UNITS[channel === "cell" ? "voltage" : (channel as keyof typeof USUAL_UNITS)];
  const known = [...new Set([...(unit ? [unit] : []), ...usual])];
  const options = optionsOf(Object.fromEntries(known.map((symbol) => [symbol, symbol])), unit ?? "");
  return unit ? options : [element("option", { value: "" }, "as its header says"), ...options];
}

const optionsOf = (texts: Readonly<Record<string, string>>, selected: string): HTMLOptionElement[] =>
  Object.entries(texts).map(([value, text]) => element("option", { value, selected: value === selected }, text));

/** The map that says what was chosen. Columns are named by number, which no header can mistake; the last choice of a channel wins. */
function mapOf(chosen: readonly Chosen[], readings: readonly ColumnReading[], direction: string): ColumnMap {
  const map: Partial<Record<Channel, ColumnWish | null>> = {};
  for (const channel of MAPPED) {
    const of = chosen.flatMap((one, at) => (one.channel === channel ? [at] : []));
    const [at] = of.filter((index) => readings[index]?.channel !== channel).concat(of);
    // Several probes stay several: a map would narrow them to one.
    if (channel === "temperature" && of.length > 1 && of.every((index) => readings[index]?.channel === channel))
      continue;
    if (at !== undefined) {
      const unit = chosen[at]?.unit;
      // A time of day or a date is written with its own marks and has no unit to state.
      const isStated = unit && !/[:/]/.test(unit);
      map[channel] = { column: at + 1, ...(isStated ? { unit } : {}) };
    } else if (readings.some((reading) => reading.channel === channel)) map[channel] = null;
  }
  if (map.current && direction !== "") map.current = { ...map.current, sign: direction as "discharge-positive" };
  return map as ColumnMap;
}
