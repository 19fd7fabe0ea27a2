import type { View } from "../../api/public-api.js";
import { address, type Html, html } from "../../html/html.js";
import { plainNumber } from "../../html/quantity.js";
import { className } from "../../html/words.js";
import type { PageRequest, ShowPage } from "../../page.js";
import { chooseRanking, classKey, type RankingChoice } from "./choice.js";
import { choiceForm } from "./form.js";
import { standingsTable } from "./table.js";

const PAGE = 25;

export const showRankings: ShowPage = async (request) => ({
  title: "Rankings",
  body: await rankingSection(request, "/rankings", "h1"),
});

/** A ranking with what it can be chosen by. */
export async function rankingSection(request: PageRequest, path: string, level: "h1" | "h2"): Promise<Html> {
  const choice = await chooseRanking(request);
  if (!choice) return nothingYet(level);
  const { figure, ofClass, load } = choice;
  const ranking = await request.api.get("/v1/rankings/{figure}", {
    path: { figure: figure.key },
    query: {
      chemistry: [ofClass.chemistry],
      series: [ofClass.series],
      load,
      standing: "all",
      first: PAGE,
      after: request.query.get("after"),
    },
  });
  const title = `${className(ofClass)}: ${figure.title}${load === null ? "" : ` at ${plainNumber(load)} A`}`;
  return html`<section class="ranking">${choiceForm(choice, path)}
${level === "h1" ? html`<h1>${title}</h1>` : html`<h2>${title}</h2>`}
<p class="subtitle">${figure.definition} ${direction(figure)}</p>
${ranking.gap !== null && ranking.gap !== undefined && html`<p class="hint">${gap(ranking)}</p>`}
${ranking.items.length === 0 ? html`<p class="empty">No pack of this class has been measured at this load yet.</p>` : list(ranking, title)}
${more(ranking, choice, path)}</section>`;
}

function list(ranking: View<"Ranking">, title: string): Html {
  return html`<form action="/compare" method="get">${standingsTable(ranking.items, title)}
<p class="actions"><button>Compare the chosen packs</button></p></form>${key(ranking.policy)}`;
}

function key({ testers, referenceTesters }: View<"RankingPolicyView">): Html {
  return html`<dl class="key">
<dt><svg class="sample established" viewBox="-14 -10 28 20" aria-hidden="true"><line class="range" x1="-12" x2="12" y1="0" y2="0"/><circle r="5"/></svg> Established</dt>
<dd>at least ${testers} testers with a record, ${referenceTesters} of them reference testers. The numbers beside a place are the places it may have.</dd>
<dt><svg class="sample provisional" viewBox="-14 -10 28 20" aria-hidden="true"><line class="range" x1="-12" x2="12" y1="0" y2="0"/><path d="M0-6L6 0 0 6-6 0z"/></svg> Provisional</dt>
<dd>measured by too few for a place. The bar covers about 95 %.</dd></dl>`;
}

const direction = ({ direction }: View<"FigureDefinitionView">): string =>
  direction === "lower" ? "Lower is better." : direction === "higher" ? "Higher is better." : "";

function gap({ gap, policy, referenceTesters }: View<"Ranking">): string {
  if (gap === "no-results") return "Nobody has measured a pack of this class at this load yet.";
  if (gap === "too-few-reference-testers")
    return `No place is given yet: that takes results of ${policy.referenceTesters} reference testers, and the service has ${referenceTesters}.`;
  return `No place is given yet: that takes results of ${policy.testers} testers with a record.`;
}

function more({ pageInfo }: View<"Ranking">, { figure, ofClass, load }: RankingChoice, path: string): Html | false {
  return (
    pageInfo.hasNextPage &&
    html`<p class="actions"><a class="button" href="${address(path, { class: classKey(ofClass), figure: figure.key, load, after: pageInfo.endCursor })}">More packs</a></p>`
  );
}

function nothingYet(level: "h1" | "h2"): Html {
  const title = "No rankings yet";
  return html`<section class="notice">${level === "h1" ? html`<h1>${title}</h1>` : html`<h2>${title}</h2>`}
<p>Nobody has shared a test that conforms to the rules so far. Rankings appear with the first accepted run.</p></section>`;
}
