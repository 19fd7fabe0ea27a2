import type { View } from "../../api/public-api.js";
import { DISPUTED_TAG } from "../../html/disputed-tag.js";
import { type Html, html } from "../../html/html.js";
import { quantity } from "../../html/quantity.js";
import { labelOf, packName } from "../../html/words.js";
import { axis, expandedOf, interval, type Scale, scaleOf } from "./interval.js";

/** The standings of a page, each with its interval drawn to one scale. */
export function standingsTable(standings: readonly View<"StandingView">[], caption: string): Html {
  const scale = scaleOf(standings);
  return html`<table class="standings"><caption class="unseen">${caption}</caption>
<thead><tr><th scope="col">Place</th><th scope="col">Pack</th><th scope="col" class="drawn"><span class="unseen">Interval</span>${axis(scale)}</th>
<th scope="col" class="number">Value</th><th scope="col">Measured by</th><th scope="col"><span class="unseen">Choose to compare</span></th></tr></thead>
<tbody>${standings.map((one) => row(one, scale))}</tbody></table>`;
}

function row(standing: View<"StandingView">, scale: Scale): Html {
  const { pack, value, unit, established, disputed, testers, runs } = standing;
  return html`<tr class="${established ? "established" : "provisional"}">
<td class="place">${place(standing)}</td>
<th scope="row" class="pack"><a href="/packs/${pack.id}">${packName(pack)}</a><span class="label">${labelOf(pack)}</span></th>
<td class="drawn">${interval(standing, scale)}</td>
<td class="number">${quantity(value, expandedOf(standing), unit)}${disputed && html` ${DISPUTED_TAG}`}</td>
<td class="basis">${testers} ${testers === 1 ? "tester" : "testers"}, ${runs} ${runs === 1 ? "run" : "runs"}</td>
<td class="choose"><label><input type="checkbox" name="pack" value="${pack.id}"><span class="unseen">Compare ${packName(pack)}</span></label></td></tr>`;
}

function place({ place, placeRange, established }: View<"StandingView">): Html {
  if (!established || place === null || place === undefined)
    return html`<span class="tag provisional">provisional</span>`;
  const [best, worst] = placeRange ?? [place, place];
  return html`<b>${place}</b>${best !== worst && html` <span class="small">${best}\u2013${worst}</span>`}`;
}
