import { chargeLeftText } from "../../../core/text/charge-left.js";
import type { View } from "../../api/public-api.js";
import { type Html, html } from "../../html/html.js";
import { quantity } from "../../html/quantity.js";

const LIMITS: Readonly<Record<string, string>> = {
  voltage: "its voltage falls to the cutoff",
  power: "it can no longer give the power",
  temperature: "it becomes too hot",
  reserve: "its reserve is used up",
};

/** Whether one pack does for the use, and why, in words. */
export function answerOf(one: View<"PredictionView">, name: Html | string): Html {
  const [kind, verdict] = verdictOf(one);
  return html`<li class="answer ${kind}"><h3>${name}</h3><p class="verdict">${verdict}</p>
${one.limit && html`<p>After ${quantity(one.limit.at.value, 2 * one.limit.at.uncertainty, "s")} ${LIMITS[one.limit.reason]}.</p>`}
${typeof one.shareLeft === "number" && html`<p>At the end ${chargeLeftText(one.shareLeft)} of its charge are left.</p>`}
${typeof one.marginVoltsPerCell === "number" && html`<p>Smallest margin above the cutoff: ${quantity(one.marginVoltsPerCell, 2 * (one.marginUncertainty ?? 0), "V")} a cell.</p>`}
${one.grade === "provisional" && html`<p><span class="tag provisional">provisional</span> few runs stand behind this.</p>`}
${one.needed.length > 0 && html`<p>To say more, these runs are needed:</p><ul>${one.needed.map(({ message }) => html`<li>${message}</li>`)}</ul>`}</li>`;
}

function verdictOf({ answered, holds, probability }: View<"PredictionView">): readonly [kind: string, text: string] {
  if (!answered || holds === null || holds === undefined) return ["unknown", "Its runs do not tell"];
  const likely = typeof probability === "number" ? probability : null;
  const percent =
    likely === null
      ? ""
      : ` (${likely > 0.99 ? "over 99" : likely < 0.01 ? "under 1" : Math.round(100 * likely)} % likely to hold)`;
  return holds ? ["holds", `Holds it${percent}`] : ["fails", `Does not hold it${percent}`];
}
