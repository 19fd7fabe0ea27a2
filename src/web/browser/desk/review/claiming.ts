import { element } from "../../elements.js";
import type { View } from "../../service/view.js";
import { button } from "../button.js";
import type { DeskWork } from "../desk-work.js";
import { counted } from "../texts.js";

/** Most runs that are claimed in one request. */
const MAX_CLAIMED = 50;

/** Buttons that claim the runs ticked in a list, and release all that one has claimed. */
export function claiming(list: HTMLElement, desk: DeskWork): HTMLElement {
  const ticked = () =>
    [...list.querySelectorAll<HTMLInputElement>("input[name=claimed]:checked")].map(({ value }) => value);
  const claim = button("Claim the ticked runs", () =>
    desk.during(async () => {
      const runIds = ticked();
      if (runIds.length === 0) {
        desk.say("Tick the runs that you want to look at first.");
        return;
      }
      if (runIds.length > MAX_CLAIMED) {
        desk.say(`At most ${MAX_CLAIMED} runs are claimed at once.`);
        return;
      }
      const { items } = await desk.session.send<View<"ClaimOutcomesView">>("POST", "/v1/reviews/claims", { runIds });
      await desk.redraw();
      desk.say(...claimedText(items));
    }),
  );
  list.addEventListener("change", () => {
    const count = ticked().length;
    claim.textContent = count === 0 ? "Claim the ticked runs" : `Claim ${counted(count, "run")}`;
  });
  const release = button(
    "Release all that you claimed",
    () =>
      desk.during(async () => {
        await desk.session.send("DELETE", "/v1/reviews/claims");
        await desk.redraw();
        desk.say("You claim no run any more: others may decide on them.");
      }),
    { class: "plain" },
  );
  return element("p", { class: "actions" }, claim, release);
}

function claimedText(outcomes: readonly View<"ClaimOutcomeView">[]): (Node | string)[] {
  const refused = outcomes.flatMap(({ claim, problem }) => (claim ? [] : [problem as { detail?: string } | null]));
  const claimed = outcomes.length - refused.length;
  return [
    claimed > 0
      ? `${counted(claimed, "run")} claimed for half an hour: others leave ${claimed === 1 ? "it" : "them"} to you.`
      : "",
    ...(refused.length > 0
      ? [
          ` ${counted(refused.length, "run")} could not be claimed:`,
          element(
            "ul",
            {},
            ...[...new Set(refused.map((one) => one?.detail ?? "refused"))].map((text) => element("li", {}, text)),
          ),
        ]
      : []),
  ];
}
