import type { View } from "../../api/public-api.js";
import { type Html, html } from "../../html/html.js";
import { CHEMISTRIES, className, packName } from "../../html/words.js";
import type { PlanChoice } from "./choice.js";

type Described = keyof PlanChoice["described"];

const NUMBERS: readonly (readonly [name: Described, label: string])[] = [
  ["series", "Cells in series, S"],
  ["ratedCapacityMah", "Rated capacity, mAh"],
  ["labelContinuousC", "Continuous rating on the label, C"],
  ["massGrams", "Mass with leads, g"],
];
const LABELS: Readonly<Record<string, string>> = {
  ...Object.fromEntries(NUMBERS.map(([name, label]) => [name, label.replace(/,[^,]*$/, "")])),
  load: "Current to draw",
  chemistry: "Chemistry",
  packId: "Pack",
  specimenId: "Ladder",
};

/** What the API says of a field, by the name that the form gives it. */
export const wrongWith = (pointer: string | undefined, message: string): string =>
  `${LABELS[pointer?.slice(1) ?? ""] ?? pointer?.slice(1) ?? ""} ${message}.`.trim();

/** Which test of which pack: one of the record, or one that is described. */
export function planForm(
  choice: PlanChoice,
  protocols: readonly View<"ProtocolView">[],
  packs: readonly View<"PackView">[],
  ladders: readonly View<"LadderSummaryView">[],
): Html {
  return html`<form action="/plan" method="get" class="plan-form">
<div class="choices"><label>Test <select name="protocol">${protocols.map(
    ({ key, title }) => html`<option value="${key}"${key === choice.protocol.key && html` selected`}>${title}</option>`,
  )}</select></label>
<label>Current to draw, A (one is proposed) <input name="load" type="number" inputmode="decimal" step="any" min="0" value="${numberIn(choice.load)}"></label></div>
<div class="choices"><label>Pack of the record <select name="pack"><option value="">Described below</option>${packs.map(
    (pack) =>
      html`<option value="${pack.id}"${pack.id === choice.packId && html` selected`}>${packName(pack)}, ${className(pack)}</option>`,
  )}</select></label>${ladders.length > 0 && ladderChoice(ladders, choice)}</div>
<p class="small">Another pack of the record? <a href="/packs">Find it</a> and plan from its page.</p>
<fieldset><legend>Or a pack that is not in the record</legend><div class="choices">
<label>Chemistry <select name="chemistry"><option value="">Choose\u2026</option>${Object.entries(CHEMISTRIES).map(
    ([key, name]) =>
      html`<option value="${key}"${key === choice.described.chemistry && html` selected`}>${name}</option>`,
  )}</select></label>
${NUMBERS.map(
  ([name, label]) =>
    html`<label>${label} <input name="${name}" type="number" inputmode="decimal" step="${name === "series" ? "1" : "any"}" min="0" value="${numberIn(choice.described[name])}"></label>`,
)}</div><p class="small">The first three are needed. Without the rating on the label the plan cannot hold to it: look it up first.</p></fieldset>
<p class="actions"><button>Plan the test</button></p></form>`;
}

function ladderChoice(ladders: readonly View<"LadderSummaryView">[], { specimenId }: PlanChoice): Html {
  return html`<label>Ladder to go on with <select name="specimen"><option value="">A new one</option>${ladders.map(
    (one) =>
      html`<option value="${one.specimenId}"${one.specimenId === specimenId && html` selected`}>of <bdi>${one.tester.handle}</bdi>, ${one.steps} ${one.steps === 1 ? "step" : "steps"}</option>`,
  )}</select></label>`;
}

/** What was typed, where a field for numbers can show it. */
const numberIn = (text: string | null | undefined): string | null =>
  text && Number.isFinite(Number(text)) ? text : null;
