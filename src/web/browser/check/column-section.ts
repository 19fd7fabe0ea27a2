import type { ColumnMap } from "../../../core/model.js";
import { byId, element, show } from "../elements.js";
import type { LogColumns } from "../log/messages.js";
import { columnTable } from "./column-table.js";

/** The columns with what to choose; the focus stays in the column in which something was chosen. */
export function columnSection(columns: LogColumns, choose: (map: ColumnMap) => void, undo: (() => void) | false): void {
  const section = byId("columns");
  const focused = document.activeElement?.getAttribute("aria-label");
  const reset = element("button", { type: "button", class: "plain" }, "Read the columns by their headers again");
  if (undo) reset.addEventListener("click", undo);
  show(
    section,
    element("h2", { id: "columns-title" }, "How the columns were read"),
    element("p", {}, "If a column was read wrongly, choose what it is; the log is read again at once."),
    columnTable(columns, choose),
    undo && element("p", {}, reset),
  );
  const again = focused && [...section.querySelectorAll("select")].find((one) => one.ariaLabel === focused);
  if (again) again.focus();
}
