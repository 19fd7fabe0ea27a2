import type { View } from "../../api/public-api.js";
import { type Html, html } from "../../html/html.js";
import { plainNumber } from "../../html/quantity.js";

/** How well each run was predicted from the others: whether predictions of this pack can be relied on. */
export function validation(checked: View<"PackValidationView">, runs: readonly View<"RunListItem">[]): Html {
  const { summary, missing } = checked;
  const tester = (id: string) => runs.find((run) => run.id === id)?.tester?.handle ?? "a tester";
  return html`<section><h2>Can its runs predict each other?</h2>
${missing.length > 0 && html`<p class="hint">For predictions of this pack more runs are needed:</p><ul>${missing.map(({ message }) => html`<li>${message}</li>`)}</ul>`}
${
  summary
    ? html`<p>Each of ${summary.runs} runs was predicted from the others alone. The voltage was off by ${plainNumber(summary.voltagePercentRms, 2)} %${summary.timePercentRms && html`, the time to the cutoff by ${plainNumber(summary.timePercentRms, 2)} %`}.</p>
<div class="scroll" role="region" aria-label="Predicted runs" tabindex="0"><table><thead><tr><th scope="col">Run by</th><th scope="col" class="number">Voltage off by</th><th scope="col" class="number">Time off by</th></tr></thead>
<tbody>${checked.runs.map((run) => html`<tr><th scope="row"><bdi>${tester(run.runId)}</bdi></th><td class="number">${plainNumber(run.voltagePercentRms, 2)} %</td><td class="number">${typeof run.timePercent === "number" ? `${plainNumber(run.timePercent, 2)} %` : "\u2013"}</td></tr>`)}</tbody></table></div>`
    : missing.length === 0 && html`<p class="empty">That takes two accepted runs.</p>`
}</section>`;
}
