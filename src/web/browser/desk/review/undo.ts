import { element } from "../../elements.js";
import type { View } from "../../service/view.js";
import { button } from "../button.js";
import type { DeskWork } from "../desk-work.js";

export const DECIDED: Readonly<Record<View<"ReviewInput">["decision"], string>> = {
  accept: "Accepted",
  reject: "Rejected",
  "request-info": "Asked its tester",
};

/** How long a decision can be taken back, ms. */
export const UNDO_MS = 15 * 60_000;

/** Says what was decided, with a button that takes it back. */
export function sayDecided(
  review: View<"ReviewView">,
  { pack, tester, runId }: View<"EvidenceSummaryView">,
  desk: DeskWork,
): void {
  const what = [element("bdi", {}, pack.name), " by ", element("bdi", {}, tester.handle)];
  if (!review.effective) {
    desk.say(
      "Proposed: ",
      ...what,
      review.waitsFor === "nobody" ? ". Nobody can agree to it yet." : `. A ${review.waitsFor} must agree.`,
    );
    return;
  }
  desk.say(`${DECIDED[review.decision]}: `, ...what, ". ", undoButton(review.id, runId, desk));
}

export function undoButton(reviewId: string, runId: string, desk: DeskWork, attributes = {}): HTMLButtonElement {
  return button(
    "Undo",
    () =>
      desk.during(async () => {
        await desk.session.send("DELETE", `/v1/reviews/${reviewId}`);
        desk.say("The decision was undone: the run is back where it was.");
        desk.go(`#review/${runId}`);
      }),
    { class: "plain", ...attributes },
  );
}
