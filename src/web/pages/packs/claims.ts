import type { View } from "../../api/public-api.js";
import { DISPUTED_TAG } from "../../html/disputed-tag.js";
import { type Html, html } from "../../html/html.js";
import { plainNumber, quantity } from "../../html/quantity.js";

type Place = View<"PackPlaceView">;

/** What the label says beside what was measured, and where the pack stands. */
export function claims(pack: View<"PackView">, places: readonly Place[], titles: ReadonlyMap<string, string>): Html {
  const of = (figure: string) => places.find((one) => one.figure === figure);
  const [capacity, verified] = [
    places.find((one) => one.figure === "capacity" && one.protocol === "rated-capacity"),
    of("verified-c"),
  ];
  return html`<section><h2>Label and measurement</h2><dl class="claims">
<div><dt>Capacity on the label</dt><dd><b>${plainNumber(pack.ratedCapacityMah, 6)}</b> mAh</dd></div>
<div><dt>Capacity measured slowly</dt><dd>${capacity ? measured(capacity) : "not measured yet"}</dd></div>
<div><dt>Continuous rating on the label</dt><dd>${pack.labelContinuousC ? html`<b>${pack.labelContinuousC}</b> C` : "none"}</dd></div>
<div><dt>Continuous rating verified</dt><dd>${verified ? measured(verified) : "no ladder of runs yet"}</dd></div></dl></section>
<section><h2>Where it stands</h2>${places.length === 0 ? html`<p class="empty">No accepted run of this pack counts in a ranking yet.</p>` : standings(pack, places, titles)}</section>`;
}

const measured = (one: Place): Html =>
  html`${quantity(one.value, one.uncertainty * one.coverageFactor, one.unit)}${one.disputed && html` ${DISPUTED_TAG}`} <span class="small">${one.testers} ${one.testers === 1 ? "tester" : "testers"}</span>`;

function standings(pack: View<"PackView">, places: readonly Place[], titles: ReadonlyMap<string, string>): Html {
  return html`<div class="scroll" role="region" aria-label="Where the pack stands" tabindex="0"><table><thead><tr><th scope="col">Figure</th><th scope="col">Load</th><th scope="col" class="number">Value</th><th scope="col">Place</th></tr></thead>
<tbody>${places.map((one) => {
    const load = one.load ?? null;
    const link = `/rankings?class=${pack.chemistry}-${pack.series}&figure=${one.figure}${load === null ? "" : `&load=${load}`}`;
    return html`<tr><th scope="row"><a href="${link}">${titles.get(one.figure) ?? one.figure}</a></th><td>${load === null ? "own load" : `${plainNumber(load)}\u00a0A`}</td>
<td class="number">${quantity(one.value, one.uncertainty * one.coverageFactor, one.unit)}${one.disputed && html` ${DISPUTED_TAG}`}</td><td>${one.established ? one.place : html`<span class="tag provisional">provisional</span>`}</td></tr>`;
  })}</tbody></table></div>`;
}
