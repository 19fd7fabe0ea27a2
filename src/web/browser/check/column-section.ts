import type { ColumnMap, RowInterval } from "../../../core/model.js";
import { parseUnit } from "../../../core/units/units.js";
import { byId, element, show } from "../elements.js";
import type { LogColumns } from "../log/messages.js";
import { optionsOf } from "../options.js";
import { type ColumnEdit, columnsOf, editMap, type Sign, signOf } from "./column-edit.js";
import { columnTable } from "./column-table.js";
import { type SavedMaps, savedMaps } from "./saved-maps.js";

const SIGNS = {
  "": "as the pack shows",
  "discharge-positive": "positive",
  "discharge-negative": "negative",
} as const;

/**
 * The columns with what to choose; the focus stays at what was changed.
 *
 * @param saved one's own maps
 * @param choose takes the map that holds from now on; null for none
 */
export function columnSection(columns: LogColumns, saved: SavedMaps, choose: (map: ColumnMap | null) => void): void {
  const section = byId("columns");
  const focused = document.activeElement?.getAttribute("aria-label");
  const tell = (edit: ColumnEdit) => choose(editMap(columns, edit));
  const probes = columnsOf(columns, "temperature").length;
  const isMapped = Object.keys(columns.map).length > 0;
  const reset = element("button", { type: "button", class: "plain" }, "Read the columns by their headers again");
  // A saved map is applied where none is sent: an empty one keeps it away.
  reset.addEventListener("click", () => choose(columns.savedMap === null ? null : {}));
  show(
    section,
    element("h2", { id: "columns-title" }, "How the columns were read"),
    columns.savedMap !== null &&
      element("p", { class: "hint" }, "Your saved column map ", element("bdi", {}, columns.savedMap), " was applied."),
    element(
      "p",
      {},
      "If a column was read wrongly, change it: the log is read again at once, and the other columns stay as they are.",
    ),
    columnTable(columns, tell),
    probes > 1 &&
      element(
        "p",
        { class: "small" },
        `${probes} temperature probes are read, and the hottest counts. A column map can name one: if you ignore one of them, one is left.`,
      ),
    element("div", { class: "choices" }, signChoice(columns, tell), intervalField(columns, tell)),
    isMapped && element("p", {}, reset),
    ...savedMaps(columns, saved, choose),
  );
  const again =
    focused && [...section.querySelectorAll<HTMLElement>("select, input")].find((one) => one.ariaLabel === focused);
  if (again) again.focus();
}

function signChoice(columns: LogColumns, tell: (edit: ColumnEdit) => void): HTMLElement {
  const isRead = columnsOf(columns, "current").length > 0;
  const select = element(
    "select",
    { "aria-label": "Sign of the discharge current", disabled: !isRead },
    ...optionsOf(SIGNS, signOf(columns) ?? ""),
  );
  select.addEventListener("change", () =>
    tell({ kind: "sign", sign: select.value === "" ? null : (select.value as Sign) }),
  );
  return element("label", {}, "Sign of the discharge current", select);
}

function intervalField({ map }: LogColumns, tell: (edit: ColumnEdit) => void): HTMLElement {
  const { time } = map;
  const isStated = typeof time === "object" && time !== null && "interval" in time;
  const field = element("input", {
    type: "number",
    step: "any",
    min: 0,
    "aria-label": "Time between two rows, s",
    placeholder: "by the time column",
    value: isStated ? secondsOf(time) : null,
  });
  field.addEventListener("change", () => {
    const seconds = Number(field.value);
    tell({ kind: "interval", seconds: field.value !== "" && seconds > 0 ? seconds : null });
  });
  return element("label", {}, "Time between two rows, s (in place of a time column)", field);
}

const secondsOf = ({ interval, unit = "s" }: RowInterval): number => interval * (parseUnit(unit)?.factor ?? 1);
