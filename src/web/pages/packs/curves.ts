import type { PublicApi, View } from "../../api/public-api.js";
import { type Html, html } from "../../html/html.js";
import { legend, lineChart } from "../../html/line-chart.js";
import { curvesOf } from "../compare/curves.js";

const MAX_CURVES = 6;
const POINTS = 160;

/** The full loads of a pack: under one standard load with their bands, or a single one as it was measured. */
export async function packCurves(api: PublicApi, runs: readonly View<"RunListItem">[]): Promise<Html> {
  const ids = runs
    .filter(({ protocol, verdict }) => protocol?.key === "full-load" && verdict !== "nonconforming")
    .flatMap(({ id }) => id ?? [])
    .slice(0, MAX_CURVES);
  const [first] = ids;
  if (first === undefined) return html`<p class="empty">No full load of this pack is public yet.</p>`;
  if (ids.length > 1) {
    const compared = await api.get("/v1/comparisons", { query: { runs: ids.join(","), points: POINTS } });
    return curvesOf(compared, ({ tester }) => html`<bdi>${tester?.handle}</bdi>`);
  }
  const { channels } = await api.get("/v1/runs/{id}/trace", { path: { id: first }, query: { points: POINTS } });
  const of = (wanted: string) => channels.find(({ channel }) => channel === wanted)?.values ?? [];
  const curve = (wanted: string) => [{ name: "", x: of("time"), y: of(wanted) }];
  return html`${legend([{ name: html`<bdi>${runs.find(({ id }) => id === first)?.tester?.handle}</bdi>, own load` }])}
<div class="charts">${lineChart({ title: "Voltage, V", across: "Time, s", curves: curve("voltage") })}
${lineChart({ title: "Current, A", across: "Time, s", curves: curve("current") })}</div>`;
}
