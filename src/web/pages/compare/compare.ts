import type { View } from "../../api/public-api.js";
import { address, type Html, html } from "../../html/html.js";
import { className, packName } from "../../html/words.js";
import type { ShowPage } from "../../page.js";
import { curvesOf } from "./curves.js";
import { differences } from "./differences.js";

const MOST = 6;
const CURVE_POINTS = 200;
const CHOICES = 100;

/** Several packs side by side: the address says which, so that it can be passed on. */
export const showComparison: ShowPage = async ({ api, query }) => {
  const chosen = [...new Set(query.getAll("pack"))].slice(0, MOST);
  const { items } = await api.get("/v1/packs", { query: { first: CHOICES } });
  if (chosen.length < 2) {
    return {
      title: "Compare packs",
      body: html`<h1>Compare packs</h1><p>Choose two to ${MOST} packs.</p>${choose(items, chosen)}`,
    };
  }
  const baseline = chosen.includes(query.get("baseline") ?? "")
    ? (query.get("baseline") as string)
    : (chosen[0] as string);
  const [comparison, { items: figures }] = await Promise.all([
    api.get("/v1/comparisons", { query: { packs: chosen.join(","), baseline, points: CURVE_POINTS } }),
    api.get("/v1/figures", { query: { first: CHOICES } }),
  ]);
  const file = (ending: string) => address(`/v1/comparisons.${ending}`, { packs: chosen.join(","), baseline });
  return {
    title: "Comparison",
    body: html`<h1>Comparison of ${chosen.length} packs</h1>
<p class="subtitle">Values of several testers each. A difference is marked as real when it exceeds twice its uncertainty.</p>
${curvesOf(comparison)}
<h2>Figures</h2>${baselineForm(comparison.columns, chosen, baseline)}
${differences(comparison, new Map(figures.map(({ key, title }) => [key, title])))}
<h2>Take it away</h2><p class="actions"><a class="button plain" href="${file("csv")}" download="comparison.csv">Table (CSV)</a><a class="button plain" href="${file("md")}" download="comparison.md">Table (Markdown)</a></p>
<p class="small">The address of this page always shows these packs; pass it on as a link.</p>
<h2>Other packs</h2>${choose(items, chosen)}`,
  };
};

function choose(packs: readonly View<"PackView">[], chosen: readonly string[]): Html {
  if (packs.length === 0) return html`<p class="empty">No pack has been registered yet.</p>`;
  return html`<form action="/compare" method="get"><fieldset><legend>Packs</legend><ul class="cards">${packs.map(
    (pack) =>
      html`<li><label class="beside"><input type="checkbox" name="pack" value="${pack.id}"${chosen.includes(pack.id) && html` checked`}><span>${packName(pack)}<span class="label">${className(pack)}</span></span></label></li>`,
  )}</ul></fieldset><p class="actions"><button>Compare the chosen packs</button></p></form>`;
}

function baselineForm(columns: View<"ComparisonView">["columns"], chosen: readonly string[], baseline: string): Html {
  return html`<form class="choices" action="/compare" method="get">${chosen.map((id) => html`<input type="hidden" name="pack" value="${id}">`)}
<label>Differences from <select name="baseline">${columns.map(
    ({ id, pack }) =>
      html`<option value="${id}"${id === baseline && html` selected`}>${pack.maker} ${pack.name}</option>`,
  )}</select></label><button>Show</button></form>`;
}
