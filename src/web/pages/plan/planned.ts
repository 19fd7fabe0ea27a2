import type { View } from "../../api/public-api.js";
import { duration } from "../../html/duration.js";
import { address, type Html, html } from "../../html/html.js";
import { plainNumber } from "../../html/quantity.js";
import { CHEMISTRIES, className, labelOf, packName } from "../../html/words.js";
import { type PlanChoice, takesAnyLoad } from "./choice.js";
import { draftForm } from "./draft-form.js";

type Plan = View<"PlanView">;
type Pack = View<"PackView"> | null;

const STAGES: readonly (readonly [stage: Plan["checklist"][number]["stage"], title: string])[] = [
  ["before", "Before the load"],
  ["during", "From the start of the log to the end of the load"],
  ["after", "When the load is off"],
];

/** Why a ladder goes on as it does, in words. */
const REASONS: Readonly<Record<NonNullable<Plan["nextStep"]>["reason"], string>> = {
  first: "This is the first step: a current that such packs sustain easily.",
  higher: "Every step so far passed: this one goes higher.",
  lower: "Every step so far failed: this one goes lower.",
  between: "The limit lies between a step that passed and one that failed: this one goes between them.",
  bracketed: "The ladder is done: the limit is known as closely as benches can tell.",
  "label-reached": "The ladder is done: a step passed at the maker's continuous current, and no test goes beyond that.",
  "no-lower": "The ladder is done: a step failed at the lowest current that is planned.",
};

/** A plan in the order in which it is used at the bench: cautions, load, cut-outs, what to expect, checklist, notes. */
export function plannedTest(plan: Plan, choice: PlanChoice, pack: Pack): Html {
  return html`<p class="subtitle planned"><b>${choice.protocol.title}</b>${ofPack(choice, pack)}</p>
<section class="caution" aria-labelledby="cautions"><h2 id="cautions">Read this first</h2><ul>${plan.cautions.map((one) => html`<li>${degrees(one)}</li>`)}</ul></section>
<section aria-labelledby="load"><h2 id="load">Set the load</h2>${plan.nextStep && html`<p>${REASONS[plan.nextStep.reason]}</p>`}${loads(plan, takesAnyLoad(choice.protocol))}</section>
<section aria-labelledby="cut-outs"><h2 id="cut-outs">Set the cut-outs</h2>${cutOuts(plan)}</section>
${plan.expected && expectations(plan.expected)}
<section aria-labelledby="checklist"><h2 id="checklist">Checklist</h2>${checklist(plan)}</section>
${draftForm(plan, choice, pack)}
<section aria-labelledby="then"><h2 id="then">And then</h2>
<p class="actions"><a class="button" href="/check">Check the log</a>${plan.nextStep && pack && html`<a class="button plain" href="${address("/plan", { protocol: choice.protocol.key, pack: pack.id, specimen: choice.specimenId })}">Plan the next step</a>`}</p>
${plan.nextStep && html`<p class="small">A ladder goes on from the steps that are public; your own count here once they were accepted.</p>`}</section>`;
}

function ofPack({ described }: PlanChoice, pack: Pack): Html {
  if (pack)
    return html` of <a href="/packs/${pack.id}">${packName(pack)}</a>, ${className(pack)} \u00b7 ${labelOf(pack)}`;
  const chemistry = CHEMISTRIES[described.chemistry as keyof typeof CHEMISTRIES];
  const rating = described.labelContinuousC ? ` \u00b7 ${described.labelContinuousC}C` : "";
  return html` of a pack that is not in the record, ${described.series}S ${chemistry} \u00b7 ${described.ratedCapacityMah} mAh${rating}`;
}

function loads({ loads, standardLoads, stop }: Plan, isAnyLoad: boolean): Html {
  if (loads.length === 0) return html`<p class="hint">There is no load to set.</p>`;
  return html`<ol class="settings">${loads.map(
    ({ currentA, ohm, powerW, seconds }, at) =>
      html`<li><h3>${loads.length > 1 ? `${at + 1}. ` : ""}For ${stop.cutoffVolts === null ? duration(seconds) : html`about ${duration(seconds)}, to the cutoff`}</h3>
<dl><div><dt>Constant current</dt><dd><b>${plainNumber(currentA)}</b> A</dd></div>${
        isAnyLoad &&
        html`
<div><dt>or resistance</dt><dd><b>${ohm < 1 ? plainNumber(1000 * ohm) : plainNumber(ohm)}</b> ${ohm < 1 ? "m\u03a9" : "\u03a9"}</dd></div>
<div><dt>or power</dt><dd><b>${plainNumber(powerW)}</b> W</dd></div>`
      }</dl></li>`,
  )}</ol>
<p class="small">${isAnyLoad ? "Set one of the three: they agree 10 s into the load, but where one would come to draw more than the label allows. That one is set to draw less." : "Hold the current: this protocol takes no other kind of load."}</p>
${standardLoads.length > 0 && standards(standardLoads)}`;
}

function standards(standardLoads: Plan["standardLoads"]): Html {
  return html`<details><summary>Standard loads near it, by which packs are ranked</summary>
<p>A load set to one of these resistances leaves nothing to translate.</p>
<div class="scroll" role="region" aria-label="Standard loads" tabindex="0"><table><thead><tr><th scope="col">Standard load</th><th scope="col" class="number">Resistance</th><th scope="col" class="number">Draws about</th></tr></thead>
<tbody>${standardLoads.map(
    ({ loadA, ohm, currentA }) =>
      html`<tr><th scope="row">${plainNumber(loadA)} A</th><td class="number">${plainNumber(1000 * ohm)} m\u03a9</td><td class="number">${plainNumber(currentA)} A</td></tr>`,
  )}</tbody></table></div></details>`;
}

function cutOuts({ stop, nextStep, labelContinuousA, labelBurstA }: Plan): Html {
  return html`<dl class="claims">
<div><dt>Voltage under load</dt><dd>${stop.cutoffVolts == null ? "none: the pulses end the test" : html`<b>${plainNumber(stop.cutoffVolts, 4)}</b> V <span class="small">${plainNumber(stop.cutoffVoltsPerCell ?? 0)} V a cell</span>`}</dd></div>
<div><dt>Temperature of the pack, at most</dt><dd>${
    nextStep
      ? html`<b>${stop.temperatureLimitC}</b> \u00b0C <span class="small">it ends the step; the maker's limit where that is lower</span>`
      : html`<b>${stop.cutOutC}</b> \u00b0C <span class="small">the maker's limit where that is lower; from ${stop.temperatureLimitC} \u00b0C on be ready to stop</span>`
  }</dd></div>
<div><dt>Continuous current on the label</dt><dd>${labelContinuousA == null ? "none stated: look up the maker's" : html`<b>${plainNumber(labelContinuousA)}</b> A`}</dd></div>
${labelBurstA != null && html`<div><dt>Burst current on the label</dt><dd><b>${plainNumber(labelBurstA)}</b> A <span class="small">for short bursts alone: a test stays within the continuous current</span></dd></div>`}</dl>`;
}

function expectations(expected: NonNullable<Plan["expected"]>): Html {
  const { seconds, capacityMah, highestPowerW, highestCurrentA, loadHeatWh, packHeatWh, temperatureRiseK } = expected;
  const rows: readonly (readonly [what: string, value: string])[] = [
    ["The load is on for", duration(seconds)],
    ["The pack delivers", `${plainNumber(capacityMah)} mAh`],
    ["Load and leads take, at most", `${plainNumber(highestCurrentA)} A and ${plainNumber(highestPowerW)} W`],
    ["Heat in the load", `${plainNumber(loadHeatWh, 2)} Wh`],
    ["Heat in the pack", `${plainNumber(packHeatWh, 2)} Wh`],
    ["Which warms it by", `${plainNumber(temperatureRiseK, 2)} K`],
  ];
  return html`<section aria-labelledby="expect"><h2 id="expect">Expect about this</h2>
<dl class="pairs">${rows.map(([what, value]) => html`<div><dt>${what}</dt><dd>${value}</dd></div>`)}</dl>
<p class="small">Of a typical cell of the chemistry${expected.endsAtCutoff ? ", to the cutoff" : ""}, to prepare by. The pack before you may be worse.</p></section>`;
}

/** Boxes to tick: a browser does that without a script, and a script keeps them while the page is loaded anew. */
function checklist({ checklist }: Plan): Html {
  return html`${STAGES.map(([stage, title]) => {
    const items = checklist.filter((one) => one.stage === stage);
    return (
      items.length > 0 &&
      html`<fieldset class="checklist"><legend>${title}</legend>${items.map(
        ({ text }) =>
          html`<label class="beside"><input type="checkbox" autocomplete="off"><span>${degrees(text)}</span></label>`,
      )}</fieldset>`
    );
  })}`;
}

const degrees = (text: string): string => text.replace(/ degC\b/g, "\u00a0\u00b0C");
