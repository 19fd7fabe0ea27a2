import { byId, element, show } from "../elements.js";
import { type DeclaredRun, memberOf } from "./declared-run.js";
import { type Entered, enteredBefore, forgetEntered, GROUPS, type Group } from "./entered-before.js";

const ASKED: Readonly<Record<Group, string>> = { pack: "The same pack", bench: "The same bench" };

/** Offers what was entered for an earlier run; nothing of it is taken over before somebody says so. */
export function offerEntered(take: (run: DeclaredRun) => void): void {
  const section = byId("entered-before");
  const before = enteredBefore();
  const buttons = GROUPS.flatMap((group) => {
    const value = before[group];
    if (!value) return [];
    const button = element("button", { type: "button", class: "plain" }, `${ASKED[group]}: ${inWords(group, before)}`);
    button.addEventListener("click", () => {
      take({ [group]: value });
      button.remove();
    });
    return [button];
  });
  if (buttons.length === 0) {
    show(section);
    return;
  }
  const forget = element("button", { type: "button", class: "plain" }, "Forget both");
  forget.addEventListener("click", () => {
    forgetEntered();
    show(section);
  });
  show(
    section,
    element("p", {}, "Entered for an earlier run on this device, and used only if you say so:"),
    element("p", { class: "actions" }, ...buttons, forget),
  );
}

function inWords(group: Group, run: Entered): string {
  const names =
    group === "pack"
      ? ["pack.maker", "pack.name", "pack.series", "pack.chemistry", "pack.ratedCapacityMah"]
      : ["bench.label", "bench.load.kind", "bench.voltage.percent", "bench.current.percent"];
  const units: Readonly<Record<string, string>> = {
    "pack.series": "S",
    "pack.ratedCapacityMah": " mAh",
    "bench.voltage.percent": " % V",
    "bench.current.percent": " % A",
  };
  const values = names.map((name) => [memberOf(run, name), units[name] ?? ""] as const);
  return values
    .flatMap(([value, unit]) => (value === undefined || value === "not stated" ? [] : [`${value}${unit}`]))
    .join(" \u00b7 ");
}
