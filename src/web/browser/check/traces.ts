import { byId, element, show } from "../elements.js";
import type { EvaluatedLog, ReadRows } from "../log/messages.js";
import { type Band, type Mark, traceChart } from "./trace-chart.js";

/** Units of the drawing: those of the screen, so that its texts are as large on a phone as at a desk. */
const widthOfDrawing = (): number => Math.min(1000, byId("content").clientWidth - 32);

/** The log as it was read, before anything is known of the run. */
export function showLog({ drawn }: ReadRows, discharges: readonly Band[]): void {
  show(
    byId("trace"),
    element("h2", { id: "trace-title" }, "The log as read"),
    element(
      "p",
      { class: "subtitle" },
      "Times are those of the log. Onset, marks and cutoff are drawn once the run is described.",
    ),
    traceChart(drawn, [], discharges, "Voltage, current and temperature of the log over its time", widthOfDrawing()),
  );
}

/** The run with its onset, the instants at which figures are read, its cutoff, and where findings that did not pass were seen. */
export function showRun({ evaluation, marksS, drawn }: EvaluatedLog): void {
  const { cutoffS, durationS } = evaluation.trace;
  const marks: Mark[] = [
    { atS: 0, name: "onset", kind: "onset" },
    ...marksS.map((atS): Mark => ({ atS, name: `${atS} s`, kind: "mark" })),
    cutoffS === null
      ? { atS: durationS, name: "end of load", kind: "mark" }
      : { atS: cutoffS, name: `cutoff ${cutoffS.toFixed(1)} s`, kind: "cutoff" },
  ];
  const bands = evaluation.findings.flatMap(({ outcome, span, rule }): Band[] =>
    outcome === "fail" && span ? [{ ...span, name: rule, kind: "finding" }] : [],
  );
  const named = marks.map(({ name }) => name).join(", ");
  show(
    byId("trace"),
    element("h2", { id: "trace-title" }, "The trace"),
    element(
      "p",
      { class: "subtitle" },
      `Seconds from onset. Marked: ${named}.${bands.length > 0 ? ` Shaded: where ${bands.map(({ name }) => name).join(", ")} was seen.` : ""}`,
    ),
    traceChart(drawn, marks, bands, `Voltage, current and temperature of the run; marked: ${named}`, widthOfDrawing()),
  );
}
