import type { View } from "../../api/public-api.js";
import { type Html, html } from "../../html/html.js";
import { quantity } from "../../html/quantity.js";
import { PROTOCOLS, VERDICTS } from "../../words.js";

/** The public runs of a pack by when they were made, with tester and age. */
export function runsTable(runs: readonly View<"RunListItem">[]): Html {
  if (runs.length === 0) return html`<p class="empty">No run of this pack is public yet.</p>`;
  return html`<div class="scroll" role="region" aria-label="Runs" tabindex="0"><table><thead><tr><th scope="col">Date</th><th scope="col">Tester</th><th scope="col">Protocol</th><th scope="col" class="number">Cycles</th><th scope="col">Rules</th><th scope="col" class="number">Power at 10 s or capacity</th></tr></thead>
<tbody>${runs.map(
    (run) =>
      html`<tr><th scope="row">${date(run)}</th><td><bdi>${run.tester?.handle}</bdi></td><td>${PROTOCOLS[run.protocol?.key ?? ""] ?? run.protocol?.key}</td>
<td class="number">${run.cycles ?? run.specimen?.cycles}</td><td>${VERDICTS[run.verdict ?? ""] ?? "not judged yet"}</td><td class="number">${figure(run)}</td></tr>`,
  )}</tbody></table></div>`;
}

const date = ({ startedAt, uploadedAt }: View<"RunListItem">): Html => {
  const day = (startedAt ?? uploadedAt ?? "").slice(0, 10);
  return html`<time datetime="${day}">${day}</time>`;
};

function figure({ keyFigures = [] }: View<"RunListItem">): Html | false {
  const shown = keyFigures.find(({ key }) => key === "power-10s") ?? keyFigures.find(({ key }) => key === "capacity");
  return shown !== undefined && quantity(shown.value, 2 * shown.uncertainty, shown.unit);
}
