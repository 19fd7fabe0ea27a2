import type { View } from "../../api/public-api.js";
import { html } from "../../html/html.js";
import { className, labelOf, packName } from "../../html/words.js";
import type { ShowPage } from "../../page.js";
import { claims } from "./claims.js";
import { packCurves } from "./curves.js";
import { ladders } from "./ladders.js";
import { runsTable } from "./runs.js";
import { validation } from "./validation.js";

const MAX_RUNS = 50;
const MAX_STANDINGS = 100;

/** All that is known of one pack. */
export const showPack: ShowPage = async ({ api, names }) => {
  const path = { id: names.id ?? "" };
  const [pack, places, runs, steps, checked, figures] = await Promise.all([
    api.get("/v1/packs/{id}", { path }),
    api.get("/v1/packs/{id}/standings", { path, query: { first: MAX_STANDINGS } }),
    api.get("/v1/packs/{id}/runs", { path, query: { first: MAX_RUNS } }),
    api.get("/v1/packs/{id}/ladders", { path, query: { first: MAX_RUNS } }),
    api.get("/v1/packs/{id}/validation", { path }),
    api.get("/v1/figures", { query: { first: MAX_STANDINGS } }),
  ]);
  const curves = await packCurves(api, runs.items);
  return {
    title: `${pack.maker} ${pack.name}`,
    body: html`<h1>${packName(pack)}</h1>
<p class="subtitle">${className(pack)} \u00b7 ${labelOf(pack)}${pack.massGrams && ` \u00b7 ${pack.massGrams} g`}</p>
${pack.status === "proposed" && html`<p class="hint">A tester proposed this pack; no moderator has confirmed it yet.</p>`}
<p class="actions"><a class="button" href="/choose?pack=${pack.id}">Would it do for my use?</a><a class="button plain" href="/compare?pack=${pack.id}">Compare it</a><a class="button plain" href="/plan?pack=${pack.id}">Plan a test of it</a></p>
${claims(pack, places.items, titles(figures.items))}
<section><h2>Under load</h2>${curves}</section>
${ladders(pack.id, steps.items)}
<section><h2>Runs</h2>${runsTable(runs.items)}</section>
${validation(checked, runs.items)}`,
  };
};

const titles = (figures: readonly View<"FigureDefinitionView">[]): ReadonlyMap<string, string> =>
  new Map(figures.map(({ key, title }) => [key, title]));
