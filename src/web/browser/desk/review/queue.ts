import { PROTOCOLS, VERDICTS } from "../../../words.js";
import { element } from "../../elements.js";
import type { Listed, View } from "../../service/view.js";
import { button } from "../button.js";
import type { DeskView, DeskWork } from "../desk-work.js";
import { counted, packName, sentenceOf, timeOf } from "../texts.js";
import { claiming } from "./claiming.js";
import { riskWords } from "./risk.js";

export type QueuedRun = View<"QueuedRunItem">;

const PAGE = 30;
const STATES = { pending: "To decide", "info-requested": "Asked about, not answered yet" } as const;

export const queueAddress = (state: string, after: string | null = null): string =>
  `/v1/reviews?state=${state}&first=${PAGE}${after === null ? "" : `&after=${encodeURIComponent(after)}`}`;

/** Runs of others by risk, the highest first. @param id the review state that is listed; those to decide on when empty */
export const showQueue: DeskView = async (desk, id) => {
  const state = id in STATES ? (id as keyof typeof STATES) : "pending";
  const list = await desk.session.get<Listed<QueuedRun>>(queueAddress(state));
  const cards = element("ol", { class: "queue" }, ...list.items.map((run) => queued(run, desk)));
  return [
    element("h2", {}, STATES[state]),
    element(
      "p",
      {},
      state === "pending"
        ? "The riskiest first, then the oldest. Open one for its evidence and to decide."
        : "Their testers were asked. They come back when they are answered; you can decide on them before.",
    ),
    element(
      "p",
      { class: "actions" },
      ...Object.entries(STATES)
        .filter(([other]) => other !== state)
        .map(([other, title]) => element("a", { href: `#queue/${other}` }, title)),
    ),
    ...(list.items.length > 0 ? [claiming(cards, desk)] : []),
    list.items.length > 0
      ? cards
      : element(
          "p",
          { class: "empty" },
          state === "pending"
            ? "Nothing waits for a decision. Runs that do not conform wait for their testers and are not listed."
            : "No question is open.",
        ),
    ...moreOf(state, list, cards, desk),
  ];
};

function moreOf(state: string, list: Listed<QueuedRun>, cards: HTMLElement, desk: DeskWork): HTMLElement[] {
  if (!list.pageInfo.hasNextPage) return [];
  let after = list.pageInfo.endCursor ?? null;
  const more = button("More", () =>
    desk.during(async () => {
      const next = await desk.session.get<Listed<QueuedRun>>(queueAddress(state, after));
      cards.append(...next.items.map((run) => queued(run, desk)));
      after = next.pageInfo.endCursor ?? null;
      if (!next.pageInfo.hasNextPage) more.remove();
    }),
  );
  return [element("p", { class: "actions" }, more)];
}

function queued(run: QueuedRun, { account }: DeskWork): HTMLElement {
  const { id, pack, tester, protocol, verdict, uploadedAt = "", risk, claim, appeal, proposals = [] } = run;
  const why = risk ? riskWords(risk) : [];
  return element(
    "li",
    {},
    risk ? element("span", { class: "risk" }, element("b", {}, risk.score.toFixed(0)), " risk") : null,
    element(
      "div",
      {},
      element("h3", {}, element("a", { href: `#review/${id}` }, pack ? packName(pack) : "A run")),
      element(
        "p",
        { class: "subtitle" },
        "by ",
        element("bdi", {}, tester?.handle ?? "somebody"),
        ` \u00b7 ${PROTOCOLS[protocol?.key ?? ""] ?? protocol?.key} \u00b7 ${VERDICTS[verdict ?? ""] ?? "not judged yet"} \u00b7 `,
        timeOf(uploadedAt),
      ),
      why.length > 0 && element("p", {}, sentenceOf(why)),
      appeal ? element("p", { class: "open" }, "An appeal is to be decided on.") : null,
      proposals.length > 0 &&
        element(
          "p",
          { class: "open" },
          `${counted(proposals.length, "proposal")} of moderators with a conflict of interest.`,
        ),
      claim
        ? element(
            "p",
            { class: "open" },
            ...(claim.moderator.id === account.id
              ? ["Claimed by you"]
              : ["Claimed by ", element("bdi", {}, claim.moderator.handle)]),
            " until ",
            timeOf(claim.until),
            ".",
          )
        : null,
      element(
        "label",
        { class: "beside" },
        element("input", { type: "checkbox", name: "claimed", value: id ?? "" }),
        element(
          "span",
          {},
          "Tick to claim",
          element("span", { class: "unseen" }, ` ${pack?.maker} ${pack?.name} by ${tester?.handle}`),
        ),
      ),
    ),
  );
}
