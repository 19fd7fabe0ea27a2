import { VERDICTS } from "../../../words.js";
import { element } from "../../elements.js";
import type { View } from "../../service/view.js";
import type { DeskWork } from "../desk-work.js";
import { tableOf } from "../table.js";
import { counted } from "../texts.js";
import { standingChanges } from "./standing-changes.js";

type Effects = View<"EffectsView">;

const verdictText = (verdict: string | null | undefined): string =>
  verdict ? (VERDICTS[verdict] ?? verdict) : "could not be evaluated";

/** What a re-evaluation changed, or would change: verdicts, acceptances and standings. */
export async function effectsOf(effects: Effects, isDry: boolean, desk: DeskWork): Promise<HTMLElement[]> {
  const { verdictsChanged, acceptanceRevoked, standings, standingsChanged, placesChanged } = effects;
  const would = isDry ? "would " : "";
  return [
    element(
      "dl",
      { class: "terms" },
      fact(`Verdicts that ${would}change`, verdictsChanged),
      fact(`Acceptances that ${isDry ? "would be" : "were"} revoked`, acceptanceRevoked),
      fact(`Standings that ${would}change, come or go`, standingsChanged),
      fact(`Places that ${would}change`, placesChanged),
    ),
    element("p", { class: "small" }, `${counted(standings, "standing")} in all rankings afterwards.`),
    ...verdicts(effects),
    ...changedRuns(effects),
    ...(await standingChanges(effects, desk)),
  ];
}

const fact = (label: string, count: number): HTMLElement =>
  element("div", {}, element("dt", {}, label), element("dd", {}, element("b", {}, String(count))));

function verdicts({ verdicts }: Effects): HTMLElement[] {
  if (verdicts.length === 0) return [element("p", { class: "empty" }, "No run is under this protocol yet.")];
  return [
    element("h3", {}, "Runs by verdict"),
    tableOf(
      "Runs by verdict",
      [{ text: "Before" }, { text: "After" }, { text: "Runs", isNumber: true }],
      verdicts.map(({ from, to, runs }) =>
        element(
          "tr",
          { class: from === to ? null : "changed" },
          element("th", { scope: "row" }, verdictText(from)),
          element("td", {}, verdictText(to)),
          element("td", { class: "number" }, String(runs)),
        ),
      ),
    ),
  ];
}

function changedRuns({ runs, verdictsChanged }: Effects): HTMLElement[] {
  if (runs.length === 0) return [];
  return [
    element("h3", {}, "Runs whose verdict changes"),
    ...(runs.length < verdictsChanged
      ? [element("p", { class: "small" }, `The first ${runs.length} of ${verdictsChanged}; accepted ones first.`)]
      : []),
    tableOf(
      "Runs whose verdict changes",
      ["Run", "Before", "After", "Rules not passed any more"].map((text) => ({ text })),
      runs.map(({ runId, review, from, to, failedRules }) =>
        element(
          "tr",
          {},
          element(
            "th",
            { scope: "row" },
            element("a", { href: `#review/${runId}` }, `${review} run ${runId.slice(-6)}`),
          ),
          element("td", {}, verdictText(from)),
          element("td", {}, verdictText(to)),
          element("td", {}, failedRules.join(", ")),
        ),
      ),
    ),
  ];
}
