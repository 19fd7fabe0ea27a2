import { element } from "../../elements.js";
import type { Listed, View } from "../../service/view.js";
import { button } from "../button.js";
import type { DeskView, DeskWork } from "../desk-work.js";
import { timeOf } from "../texts.js";
import { DECIDED, UNDO_MS, undoButton } from "./undo.js";

type Made = View<"MadeDecisionView">;

const PAGE = 30;
const NOW: Readonly<Record<Made["review"], string>> = {
  pending: "pending",
  "info-requested": "asked about",
  accepted: "accepted",
  rejected: "rejected",
  withdrawn: "withdrawn",
};

/** What one has decided, the newest first; the last decision on a run can be undone for a quarter of an hour. */
export const showDecisions: DeskView = async (desk) => {
  const list = await desk.session.get<Listed<Made>>(`/v1/reviews/decisions?first=${PAGE}`);
  const rows = element("ul", { class: "notices" }, ...list.items.map((one) => decisionOf(one, desk)));
  return [
    element("h2", {}, "Your decisions"),
    list.items.length > 0 ? rows : element("p", { class: "empty" }, "You have not decided on a run yet."),
    ...moreOf(list, rows, desk),
  ];
};

function moreOf(list: Listed<Made>, rows: HTMLElement, desk: DeskWork): HTMLElement[] {
  if (!list.pageInfo.hasNextPage) return [];
  let after = list.pageInfo.endCursor ?? "";
  const more = button("Older decisions", () =>
    desk.during(async () => {
      const next = await desk.session.get<Listed<Made>>(
        `/v1/reviews/decisions?first=${PAGE}&after=${encodeURIComponent(after)}`,
      );
      rows.append(...next.items.map((one) => decisionOf(one, desk)));
      after = next.pageInfo.endCursor ?? "";
      if (!next.pageInfo.hasNextPage) more.remove();
    }),
  );
  return [element("p", { class: "actions" }, more)];
}

function decisionOf(made: Made, desk: DeskWork): HTMLElement {
  const { id, runId, pack, tester, decision, rules, note, createdAt, review, isLatest } = made;
  const canUndo = isLatest && Date.now() - Date.parse(createdAt) < UNDO_MS;
  return element(
    "li",
    {},
    element(
      "h3",
      {},
      `${DECIDED[decision]}: `,
      element("a", { href: `#review/${runId}` }, element("bdi", {}, pack)),
      " by ",
      element("bdi", {}, tester.handle),
    ),
    element(
      "p",
      { class: "small" },
      timeOf(createdAt),
      ` \u00b7 the run is ${NOW[review]} now${isLatest ? "" : ", by a later decision"}`,
    ),
    rules.length > 0 && element("p", { class: "small" }, `Rules: ${rules.join(", ")}`),
    note ? element("p", { class: "words" }, note) : null,
    canUndo &&
      element(
        "p",
        { class: "actions" },
        undoButton(id, runId, desk, { "aria-label": `Undo: ${pack} by ${tester.handle}` }),
      ),
  );
}
