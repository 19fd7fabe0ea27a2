import { element } from "../../elements.js";
import type { View } from "../../service/view.js";
import type { DeskView } from "../desk-work.js";
import { timeOf } from "../texts.js";
import { runActions } from "./actions.js";
import { foundOf, runHeading } from "./run-card.js";

/** Events of a run's life as people say them. */
const EVENTS: Readonly<Record<string, string>> = {
  upload: "Uploaded",
  start: "Evaluation began",
  restart: "Evaluation began again",
  finish: "Evaluated",
  fail: "Could not be read",
  retry: "Sent again",
  evaluate: "Result stored",
  accept: "Accepted",
  reject: "Rejected",
  "request-info": "A moderator asked",
  answer: "You answered",
  appeal: "You appealed",
  "undo-to-pending": "The decision was undone",
  "undo-to-info-requested": "The decision was undone",
  "undo-to-accepted": "The decision was undone: accepted again",
  "undo-to-rejected": "The decision was undone: rejected again",
  "revoke-acceptance": "The acceptance was revoked by another version",
  replace: "Replaced by another run",
  withdraw: "Withdrawn",
  "excuse-withdrawal": "A moderator accepted why it was withdrawn",
  move: "Moved to another pack or specimen",
};

/** One run of one's own, with everything that happened to it and why. */
export const showOwnRun: DeskView = async (desk, id) => {
  const [run, history] = await Promise.all([
    desk.session.get<View<"RunView">>(`/v1/runs/${encodeURIComponent(id)}`),
    desk.session.get<View<"RunHistoryView">>(`/v1/runs/${encodeURIComponent(id)}/history`),
  ]);
  const isOwn = run.tester.id === desk.account.id;
  return [
    ...runHeading(run, "h2"),
    ...foundOf(run, desk.figureTitle),
    ...(isOwn ? runActions(run, desk) : [element("p", { class: "hint" }, "This run is another tester's.")]),
    element("h3", {}, "What happened to it"),
    element("ol", { class: "history" }, ...history.items.map(entryOf)),
    element("p", {}, element("a", { href: "#runs" }, "All your runs")),
  ];
};

function entryOf({ at, event, actor, reason, rules }: View<"AuditEntryView">): HTMLElement {
  return element(
    "li",
    {},
    element("strong", {}, EVENTS[event] ?? event),
    actor ? element("span", {}, " by ", element("bdi", {}, actor.handle)) : null,
    ", ",
    timeOf(at),
    rules.length > 0 && element("span", { class: "small" }, ` \u00b7 ${rules.join(", ")}`),
    reason ? element("p", { class: "words" }, reason) : null,
  );
}
