import { byId, element, show, showKeepingChoice } from "../elements.js";
import type { DrawnDischarge } from "../log/messages.js";
import type { Band } from "./trace-chart.js";

/**
 * Which discharge of a log is the run: by radio buttons for the keyboard, and by bands of the drawing for a pointer.
 *
 * @param chosen from 1 on; null while nothing is said
 * @returns the bands to draw
 */
export function showDischarges(
  discharges: readonly DrawnDischarge[],
  chosen: number | null,
  choose: (discharge: number) => void,
): readonly Band[] {
  if (discharges.length < 2) {
    show(byId("discharges"));
    return [];
  }
  const options = discharges.map(({ text }, at) => {
    const input = element("input", { type: "radio", name: "discharge", value: at + 1, checked: chosen === at + 1 });
    input.addEventListener("change", () => choose(at + 1));
    return element("label", { class: "beside" }, input, `${at + 1}: ${text}`);
  });
  showKeepingChoice(
    byId("discharges"),
    element("h2", { id: "discharges-title" }, "Which discharge is the run?"),
    element(
      "p",
      {},
      `The log holds ${discharges.length}. Choose one here, or point at it in the drawing; each can be a run of its own.`,
    ),
    element("fieldset", { class: "options" }, element("legend", { class: "unseen" }, "Discharge"), ...options),
  );
  return discharges.map(({ fromS, toS, text }, at) => ({
    fromS,
    toS,
    name: `discharge ${at + 1}: ${text}`,
    kind: chosen === at + 1 ? ("chosen" as const) : ("discharge" as const),
    choose: () => {
      choose(at + 1);
      byId("discharges")
        .querySelector<HTMLInputElement>(`input[value="${at + 1}"]`)
        ?.focus();
    },
  }));
}
