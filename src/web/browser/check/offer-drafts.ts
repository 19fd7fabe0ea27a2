import { type Draft, drafts, forgetDraft } from "../drafts.js";
import { byId, element, show } from "../elements.js";
import { type DeclaredRun, memberOf } from "./declared-run.js";

/** What of a draft is said in words, with what stands around the value. */
const WORDS: readonly (readonly [name: string, before: string, after: string])[] = [
  ["pack.maker", "", ""],
  ["pack.name", "", ""],
  ["pack.series", "", "S"],
  ["pack.ratedCapacityMah", "", " mAh"],
  ["specimen", "", ""],
  ["ambientC", "", " \u00b0C around it"],
  ["restMinutes", "rested ", " min"],
  ["stateOfChargePercent", "", " % charged"],
  ["cycles", "", " cycles"],
  ["setpointA", "set to ", " A"],
];

/** Offers what was noted at the bench under a plan; nothing of it enters a run before somebody says so. */
export function offerDrafts(take: (run: DeclaredRun) => void): void {
  const section = byId("drafts");
  const again = () => offerDrafts(take);
  const offers = drafts().map((draft) => {
    const use = element("button", { type: "button", class: "plain" }, "Use these notes");
    use.addEventListener("click", () => {
      take(draft.run);
      use.replaceWith(element("span", { class: "small", role: "status" }, "Entered below."));
    });
    const forget = element("button", { type: "button", class: "plain" }, "Forget them");
    forget.addEventListener("click", () => {
      forgetDraft(draft.plan);
      again();
    });
    return element("li", {}, element("p", {}, ...inWords(draft)), element("p", { class: "actions" }, use, forget));
  });
  if (offers.length === 0) {
    show(section);
    return;
  }
  show(
    section,
    element("p", {}, "Noted at the bench in this browser, and used only if you say so:"),
    element("ul", { class: "drafts" }, ...offers),
  );
}

function inWords({ title, run, notedAt }: Draft): (string | HTMLElement)[] {
  const values = WORDS.flatMap(([name, before, after]) => {
    const value = memberOf(run, name);
    return typeof value === "string" || typeof value === "number" ? [`${before}${value}${after}`] : [];
  });
  const began = typeof run.startedAt === "string" ? `, load on ${new Date(run.startedAt).toLocaleString()}` : "";
  return [
    element("strong", {}, title),
    ` \u00b7 ${values.join(" \u00b7 ")}${began}`,
    element("span", { class: "label" }, `noted ${new Date(notedAt).toLocaleString()}`),
  ];
}
