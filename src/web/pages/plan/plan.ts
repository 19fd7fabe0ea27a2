import { CAUTION } from "../../../platform/http/caution.js";
import { ApiProblem } from "../../api/api-problem.js";
import type { PublicApi, View } from "../../api/public-api.js";
import { type Html, html } from "../../html/html.js";
import type { ShowPage } from "../../page.js";
import { choiceOf, isLadder, lacksPack, type PlanChoice, questionOf } from "./choice.js";
import { planForm, wrongWith } from "./form.js";
import { plannedTest } from "./planned.js";

const MAX_PROTOCOLS = 100;
const MAX_PACKS = 100;

type Answer = { readonly plan: View<"PlanView"> } | { readonly wrong: readonly string[] } | null;

/** A test, planned: which one of which pack, and then what to do at the bench, cautions first. */
export const showPlan: ShowPage = async ({ api, query }) => {
  const { items: protocols } = await api.get("/v1/protocols", { query: { first: MAX_PROTOCOLS } });
  const choice = choiceOf(query, protocols);
  if (!choice)
    return {
      title: "Plan a test",
      body: html`<h1>Plan a test</h1><p class="empty">There is no protocol to test by yet.</p>`,
    };
  const [pack, ladders, listed] = await Promise.all([
    choice.packId === null ? null : api.get("/v1/packs/{id}", { path: { id: choice.packId } }),
    laddersOf(api, choice),
    api.get("/v1/packs", { query: { first: MAX_PACKS } }),
  ]);
  const answer = await planOf(api, choice);
  const packs = [...(pack ? [pack] : []), ...listed.items.filter(({ id }) => id !== pack?.id)];
  const form = planForm(choice, protocols, packs, ladders);
  const plan = answer && "plan" in answer ? answer.plan : null;
  return {
    title: "Plan a test",
    scripts: ["page.js", "plan.js"],
    body: html`<h1>Plan a test</h1>
${
  plan
    ? html`${plannedTest(plan, choice, pack)}<details class="again"><summary>Plan another test</summary>${form}</details>`
    : html`<p>What to set, what to expect and what to look at, for one pack at your bench. No account is needed, and nothing is stored here.</p>
<aside class="caution" aria-label="Caution"><p><strong>Caution.</strong> ${CAUTION}</p></aside>
${answer && "wrong" in answer && refusal(answer.wrong)}${form}`
}`,
  };
};

const refusal = (wrong: readonly string[]): Html =>
  html`<div class="notice" role="alert"><h2>There is no plan for this</h2><ul>${wrong.map((one) => html`<li>${one}</li>`)}</ul></div>`;

async function laddersOf(api: PublicApi, { protocol, packId }: PlanChoice): Promise<View<"LadderSummaryView">[]> {
  if (!packId || !isLadder(protocol)) return [];
  const { items } = await api.get("/v1/packs/{id}/ladders", { path: { id: packId }, query: { first: MAX_PACKS } });
  return items;
}

async function planOf(api: PublicApi, choice: PlanChoice): Promise<Answer> {
  if (!choice.isAsked) return null;
  if (lacksPack(choice)) {
    return {
      wrong: ["Choose a pack of the record, or give chemistry, cells in series and rated capacity of another one."],
    };
  }
  try {
    return { plan: await api.get("/v1/plans", { query: questionOf(choice) }) };
  } catch (error) {
    if (!(error instanceof ApiProblem) || error.status !== 422) throw error;
    const { detail, errors = [] } = error.body;
    const wrong = errors.map(({ pointer, message }) => wrongWith(pointer, message));
    return { wrong: wrong.length > 0 ? wrong : [detail] };
  }
}
