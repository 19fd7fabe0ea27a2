import type { View } from "../../api/public-api.js";
import { type Html, html } from "../../html/html.js";
import { type Curve, legend, lineChart } from "../../html/line-chart.js";
import { plainNumber } from "../../html/quantity.js";
import { packName } from "../../html/words.js";

/** Voltage and power over time of what is compared, under one standard load, each with its band. */
export function curvesOf(
  { columns, curves, load }: View<"ComparisonView">,
  nameOf: (column: View<"ComparisonColumnView">) => Html = ({ pack }) => packName(pack),
): Html {
  if (curves.length === 0 || load === null || load === undefined) {
    return html`<p class="empty">No standard load is within reach of all runs, so there are no curves to hold side by side.</p>`;
  }
  const ordered = columns.map(({ id }) => curves.find(({ column }) => column === id));
  const draw = (of: "voltage" | "power", percent: "voltageBandPercent" | "powerBandPercent"): Curve[] =>
    ordered.map((curve) => ({
      name: "",
      x: curve?.time ?? [],
      y: curve?.[of] ?? [],
      ...(curve && typeof curve[percent] === "number" ? { half: bandOf(curve[of], curve[percent]) } : {}),
    }));
  return html`${legend(columns.map((column) => ({ name: nameOf(column) })))}
<div class="charts">${lineChart({ title: `Power at ${plainNumber(load)} A standard load, W`, across: "Time, s", curves: draw("power", "powerBandPercent") })}
${lineChart({ title: `Voltage at ${plainNumber(load)} A standard load, V`, across: "Time, s", curves: draw("voltage", "voltageBandPercent") })}</div>`;
}

const bandOf = (values: readonly number[], percent: number): number[] => values.map((value) => (value * percent) / 100);
