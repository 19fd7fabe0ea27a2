import type { View } from "../../api/public-api.js";
import { type Html, html } from "../../html/html.js";
import { plainNumber } from "../../html/quantity.js";
import type { PlanChoice } from "./choice.js";

type Plan = View<"PlanView">;

interface NoteField {
  /** As a run file names it. */
  readonly name: string;
  readonly label: string;
  readonly isInteger?: boolean;
}

/**
 * What is noted at the bench for the upload, by the names of a run file. A script shows the form and keeps it in this browser
 * alone; what is known of test and pack goes with it.
 */
export function draftForm(plan: Plan, choice: PlanChoice, pack: View<"PackView"> | null): Html {
  const planned = plan.loads[0]?.currentA;
  const fields: readonly NoteField[] = [
    { name: "ambientC", label: "Surroundings, \u00b0C" },
    { name: "restMinutes", label: "Rest since charging, min" },
    ...(plan.demands.chargePercent ? [{ name: "stateOfChargePercent", label: "State of charge, %" }] : []),
    { name: "cycles", label: "Age of the pack, full cycles", isInteger: true },
    {
      name: "setpointA",
      label: `Current the load is set to, A${planned === undefined ? "" : ` (planned: ${plainNumber(planned)})`}`,
    },
  ];
  return html`<section aria-labelledby="notes"><h2 id="notes">Note at the bench</h2>
<noscript><p class="hint">To keep notes here your browser needs JavaScript. Without it, write them down: the upload asks for them.</p></noscript>
<form id="draft" class="notes" hidden autocomplete="off" data-title="${choice.protocol.title}" data-known="${JSON.stringify(knownOf(plan, choice, pack))}">
<p>Kept in this browser alone, and offered when you <a href="/check">check the log</a> in it.</p>
<div class="choices"><label>Your name for this specimen <input name="specimen" maxlength="100"></label>
${fields.map(
  ({ name, label, isInteger }) =>
    html`<label>${label} <input name="${name}" type="number" inputmode="decimal" step="${isInteger ? "1" : "any"}"></label>`,
)}
<label>The load came on <input name="startedAt" type="datetime-local" step="1"></label></div>
<p class="actions"><button type="button" class="plain" id="draft-now">It comes on now</button><button type="button" class="plain" id="draft-forget">Forget these notes</button></p>
<p id="draft-status" role="status"></p></form></section>`;
}

/** What goes into the run beside what is noted: a pack of the record as it is registered, another one as it was described. */
function knownOf({ protocol }: Plan, { specimenId, described }: PlanChoice, pack: View<"PackView"> | null): object {
  if (!pack) {
    const facts = Object.entries(described).map(([name, value]) => [
      name,
      name === "chemistry" ? value : Number(value),
    ]);
    return { protocol: protocol.key, pack: Object.fromEntries(facts) };
  }
  const { id: _, status: __, ...facts } = pack;
  const stated = Object.entries(facts).filter(([, value]) => value !== null);
  return { protocol: protocol.key, pack: Object.fromEntries(stated), ...(specimenId ? { specimenId } : {}) };
}
