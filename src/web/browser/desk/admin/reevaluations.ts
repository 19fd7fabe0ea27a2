import { PROTOCOLS } from "../../../words.js";
import { element } from "../../elements.js";
import type { Listed, View } from "../../service/view.js";
import type { DeskView } from "../desk-work.js";
import { moreButton } from "../more-button.js";
import { timeOf } from "../texts.js";
import { followed, type Reevaluation } from "./progress.js";

const PAGE = 15;
export const STATES: Readonly<Record<Reevaluation["state"], readonly [text: string, kind: string]>> = {
  evaluating: ["at work", "open"],
  finished: ["finished", "good"],
  failed: ["failed", "bad"],
  cancelled: ["cancelled", "faint"],
};

/** Every re-evaluation, the newest first, those at work with their progress. */
export const showReevaluations: DeskView = async (desk) => {
  const address = `/v1/reevaluations?first=${PAGE}`;
  const list = await desk.session.get<Listed<Reevaluation>>(address);
  const card = (one: Reevaluation) =>
    element(
      "li",
      { class: "run" },
      element(
        "h3",
        {},
        element("a", { href: `#reevaluation/${one.id}` }, titleOf(one)),
        " ",
        element("span", { class: `tag ${STATES[one.state][1]}` }, STATES[one.state][0]),
      ),
      element("p", { class: "subtitle" }, ...begunBy(one)),
      one.state === "evaluating" ? followed(one, desk, () => desk.redraw()) : null,
    );
  const cards = element("ul", { class: "runs" }, ...list.items.map(card));
  return [
    element("h2", {}, "Re-evaluations"),
    element(
      "p",
      {},
      "Every run of a protocol is judged under one of its versions. A dry run only reports what that would change. Begin one at ",
      element("a", { href: "#protocols" }, "the protocols"),
      ".",
    ),
    list.items.length > 0 ? cards : element("p", { class: "empty" }, "None was begun yet."),
    ...moreButton(list, address, (items) => cards.append(...items.map(card)), desk, "Earlier ones"),
  ];
};

export const titleOf = ({ dryRun, protocol }: Reevaluation): string =>
  `${dryRun ? "Dry run" : "Re-evaluation"}: ${PROTOCOLS[protocol.key] ?? protocol.key}, version ${protocol.version}`;

export function begunBy({ requestedBy, createdAt, finishedAt }: Reevaluation): (Node | string)[] {
  const who = requestedBy as View<"TesterView"> | null | undefined;
  return [
    "Begun ",
    ...(who ? ["by ", element("bdi", {}, who.handle), " "] : ["by the service itself "]),
    timeOf(createdAt),
    ...(finishedAt ? [" \u00b7 ended ", timeOf(finishedAt)] : []),
  ];
}
