import { address, html } from "../../html/html.js";
import { className, labelOf, packName } from "../../html/words.js";
import type { ShowPage } from "../../page.js";

const PAGE = 40;

/** All packs of the record, to be found by maker or name. */
export const showPacks: ShowPage = async ({ api, query }) => {
  const search = query.get("search")?.trim() ?? "";
  const { items, pageInfo } = await api.get("/v1/packs", {
    query: { search: search || null, first: PAGE, after: query.get("after") },
  });
  return {
    title: "Packs",
    body: html`<h1>Packs</h1>
<form class="choices" action="/packs" method="get" role="search">
<label>Maker or name <input type="search" name="search" value="${search}" maxlength="100"></label><button>Find</button></form>
${
  items.length === 0
    ? html`<p class="empty">${search === "" ? "No pack has been registered yet." : html`No pack is called like \u201c<bdi>${search}</bdi>\u201d. Try a part of its maker or name.`}</p>`
    : html`<form action="/compare" method="get"><ul class="cards">${items.map(
        (pack) =>
          html`<li><label class="beside"><input type="checkbox" name="pack" value="${pack.id}"><span class="unseen">Compare ${packName(pack)}</span></label>
<span><a href="/packs/${pack.id}">${packName(pack)}</a><span class="label">${className(pack)} \u00b7 ${labelOf(pack)}</span></span></li>`,
      )}</ul><p class="actions"><button>Compare the chosen packs</button></p></form>`
}
${pageInfo.hasNextPage && html`<p class="actions"><a class="button plain" href="${address("/packs", { search, after: pageInfo.endCursor })}">More packs</a></p>`}`,
  };
};
