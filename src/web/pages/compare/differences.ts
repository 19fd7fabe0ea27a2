import type { View } from "../../api/public-api.js";
import { DISPUTED_TAG } from "../../html/disputed-tag.js";
import { type Html, html } from "../../html/html.js";
import { plainNumber, quantity } from "../../html/quantity.js";
import { packName } from "../../html/words.js";
import { unitSymbol } from "../../words.js";

/** A row a figure, a column a pack: value, difference in percent, and whether that is real. */
export function differences(comparison: View<"ComparisonView">, titles: ReadonlyMap<string, string>): Html {
  const { rows } = comparison;
  if (rows.length === 0) return html`<p class="empty">These packs have no figure in common yet.</p>`;
  const translated = rows.filter(({ basis }) => basis === "translated");
  const own = rows.filter(({ basis }) => basis === "own");
  if (translated.length === 0) return table(comparison, own, titles);
  return html`${table(comparison, translated, titles)}${
    own.length > 0 &&
    html`<details><summary>Under the loads that the runs were made with, and other protocols</summary>${table(comparison, own, titles)}</details>`
  }`;
}

function table(
  { baseline, columns }: View<"ComparisonView">,
  rows: View<"ComparisonView">["rows"],
  titles: ReadonlyMap<string, string>,
): Html {
  return html`<div class="scroll" role="region" aria-label="Figures of the packs" tabindex="0"><table class="differences"><thead><tr><th scope="col">Figure</th>${columns.map(
    ({ id, pack }) =>
      html`<th scope="col" class="number">${packName(pack)}${id === baseline && html`<span class="label">baseline</span>`}</th>`,
  )}</tr></thead><tbody>${rows.map(
    ({ figure, unit, load, protocol, cells }) =>
      html`<tr><th scope="row">${titles.get(figure) ?? figure}<span class="label">${unitSymbol(unit)}${typeof load === "number" ? ` at ${plainNumber(load)} A` : `, ${protocol}`}</span></th>
${cells.map((one, index) => html`<td class="number">${cell(one, unit, columns[index]?.id === baseline)}</td>`)}</tr>`,
  )}</tbody></table></div>`;
}

function cell(one: View<"ComparisonCellView">, unit: string, isBaseline: boolean): Html {
  const { value, uncertainty, bound, disputed, differencePercent, distinguishable } = one;
  if (typeof value !== "number") return html`<span class="small">not measured</span>`;
  const sign = bound === "lower" ? "\u2265 " : bound === "upper" ? "\u2264 " : "";
  return html`${sign}${quantity(value, 2 * (uncertainty ?? 0), unit)}${disputed && html` ${DISPUTED_TAG}`}${
    !isBaseline &&
    typeof differencePercent === "number" &&
    html`<span class="label ${distinguishable ? "real" : "unclear"}">${differencePercent > 0 ? "+" : ""}${plainNumber(differencePercent, 2)} %, ${distinguishable ? "real" : "not distinguishable"}</span>`
  }`;
}
