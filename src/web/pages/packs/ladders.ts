import type { View } from "../../api/public-api.js";
import { address, type Html, html } from "../../html/html.js";
import { quantity } from "../../html/quantity.js";

/** The current that single packs were found to sustain, step by step. */
export function ladders(packId: string, items: readonly View<"LadderSummaryView">[]): Html | false {
  return (
    items.length > 0 &&
    html`<section><h2>Continuous current, step by step</h2>
<p>A pack is discharged at one constant current after another until it no longer passes.</p>
<ul class="cards">${items.map(
      ({ tester, steps, withdrawnSteps, verified, specimenId }) =>
        html`<li><span><bdi>${tester.handle}</bdi>, ${steps} ${steps === 1 ? "step" : "steps"}${withdrawnSteps > 0 && ` and ${withdrawnSteps} withdrawn`}: ${
          verified
            ? html`${bound(verified.bound)}${quantity(verified.value, 2 * verified.uncertainty, "A")}`
            : "the steps cannot be taken together"
        } <a class="label" href="${address("/plan", { protocol: "current-ladder", pack: packId, specimen: specimenId })}">Plan its next step</a></span></li>`,
    )}</ul></section>`
  );
}

const bound = (kind: string): string => (kind === "lower" ? "at least " : kind === "upper" ? "less than " : "");
