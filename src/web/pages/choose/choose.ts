import type { View } from "../../api/public-api.js";
import { type Html, html } from "../../html/html.js";
import { legend, lineChart } from "../../html/line-chart.js";
import { className, packName } from "../../html/words.js";
import type { ShowPage } from "../../page.js";
import { answerOf } from "./answer.js";
import { FIELDS, readUse, type Use } from "./use.js";

const MOST = 6;
const CHOICES = 100;

/** Which of some packs does for a use: a form, and a drawn answer. */
export const showChoice: ShowPage = async ({ api, query }) => {
  const chosen = [...new Set(query.getAll("pack"))].slice(0, MOST);
  const { items: packs } = await api.get("/v1/packs", { query: { first: CHOICES } });
  const { use, wrong } = readUse(query);
  const isAsked = query.has("watts") && wrong.length === 0 && chosen.length > 0;
  const answers = isAsked
    ? (await api.ask("post", "/v1/predictions", { body: { packIds: chosen, use: stepsOf(use) } })).items
    : [];
  return {
    title: "Which pack for my use",
    body: html`<h1>Which pack for my use?</h1>
<p>Say what the model asks of its pack. The answer comes from runs on the bench, with its uncertainty.</p>
${wrong.length > 0 && html`<div class="notice" role="alert"><h2>Please look at the form again</h2><ul>${wrong.map((one) => html`<li>${one}</li>`)}</ul></div>`}
${query.has("watts") && chosen.length === 0 && html`<div class="notice" role="alert"><h2>No pack is chosen</h2><p>Choose at least one pack below.</p></div>`}
${answers.length > 0 && shown(answers, packs)}
${form(packs, chosen, query, use)}`,
  };
};

function stepsOf({ watts, seconds, restWatts, restSeconds, repeats, startC }: Use) {
  const rest = restSeconds > 0 ? [{ seconds: restSeconds, powerW: restWatts }] : [];
  return { steps: [{ seconds, powerW: watts }, ...rest], repeats: Math.round(repeats), startC };
}

function shown(answers: readonly View<"PredictionView">[], packs: readonly View<"PackView">[]): Html {
  const nameOf = (id: string): Html | string => {
    const pack = packs.find((one) => one.id === id);
    return pack ? packName(pack) : id;
  };
  const curves = answers.map(({ packId, curve }) => ({
    name: nameOf(packId),
    x: curve.map(({ timeS }) => timeS),
    y: curve.map(({ voltageV }) => voltageV),
    half: curve.map(({ voltageUncertainty }) => 2 * voltageUncertainty),
  }));
  return html`<section aria-label="Answer"><h2>Answer</h2>
<div class="caution"><ul>${(answers[0]?.cautions ?? []).map((one) => html`<li>${one}</li>`)}</ul></div>
<ul class="answers">${answers.map((one) => answerOf(one, nameOf(one.packId)))}</ul>
${curves.some(({ x }) => x.length > 0) && legend(curves)}${lineChart({ title: "Voltage of the pack along the use, V", across: "Time, s", curves })}</section>`;
}

function form(packs: readonly View<"PackView">[], chosen: readonly string[], query: URLSearchParams, use: Use): Html {
  return html`<form action="/choose" method="get"><fieldset><legend>The use</legend><div class="choices">${FIELDS.map(
    ({ name, label, unit, min, max }) =>
      html`<label>${label}${unit && `, ${unit}`} <input type="number" name="${name}" value="${typed(query.get(name)) ?? use[name]}" min="${min}" max="${max}" step="any" inputmode="decimal" required></label>`,
  )}</div></fieldset>
<fieldset><legend>Packs, ${MOST} at most</legend><ul class="cards">${packs.map(
    (pack) =>
      html`<li><label class="beside"><input type="checkbox" name="pack" value="${pack.id}"${chosen.includes(pack.id) && html` checked`}><span>${packName(pack)}<span class="label">${className(pack)}</span></span></label></li>`,
  )}</ul></fieldset>
<p class="actions"><button>Work it out</button></p></form>`;
}

/** What was typed, where a field for numbers can show it. */
const typed = (text: string | null): string | null => (text && Number.isFinite(Number(text)) ? text : null);
