import type { ProtocolDocument } from "../../../core/protocol/index.js";
import { byId, element, show } from "../elements.js";
import type { RunForm } from "./run-form.js";

/**
 * How many cells in series the highest voltage of the log would be of, if the pack began full. It is a guess, which a person has to
 * confirm: with a wrong number every voltage per cell, and the cutoff, would be wrong.
 */
export function showSeriesHint(
  form: RunForm,
  highestVolts: number | null,
  protocol: ProtocolDocument | undefined,
): void {
  const hint = byId("series-hint");
  const chemistry = form.get("pack.chemistry").value as keyof ProtocolDocument["cells"] | "";
  if (form.get("pack.series").value !== "" || !highestVolts || chemistry === "" || !protocol) {
    show(hint);
    return;
  }
  const { full } = protocol.cells[chemistry];
  const series = Math.max(1, Math.round(highestVolts / full));
  const button = element("button", { type: "button", class: "plain" }, `I counted: ${series} in series`);
  button.addEventListener("click", () => {
    form.enter("pack.series", String(series));
    form.get("pack.series").focus();
  });
  show(
    hint,
    element(
      "p",
      {},
      `A guess: the highest voltage of the log is ${highestVolts.toFixed(2)} V, which a full pack of ${series} such cells in series would show (${full} V each). Count the cells, or read the label.`,
    ),
    button,
  );
}
