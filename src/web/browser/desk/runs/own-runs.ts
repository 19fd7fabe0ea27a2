import { element } from "../../elements.js";
import type { Listed } from "../../service/view.js";
import { button } from "../button.js";
import type { DeskView, DeskWork } from "../desk-work.js";
import { runActions } from "./actions.js";
import { foundOf, OWN_FIELDS, type OwnRun, runHeading } from "./run-card.js";

const PAGE = 20;
/** The state whose runs are shown when asked for. */
const FOLDED = "withdrawn";

/** States in the order in which they want their tester; those without a run are left out. */
const STATES: readonly (readonly [review: string, title: string, hint: string])[] = [
  ["info-requested", "A moderator asks", "Answer here, or send another run in its place."],
  [
    "pending",
    "Not decided yet",
    "One that cannot be read or does not conform waits for nobody: mend what is said and upload it anew, or withdraw it.",
  ],
  ["rejected", "Rejected", "The history says why. You can appeal once; another moderator decides."],
  ["accepted", "Accepted", "Public, and in the standings of their packs."],
  [FOLDED, "Withdrawn", ""],
];

/** Every run of one's own, by state. */
export const showOwnRuns: DeskView = async (desk) => {
  const lists = await Promise.all(
    STATES.map(([review]) => desk.session.get<Listed<OwnRun>>(listAddress(review, null))),
  );
  const sections = STATES.flatMap(([review, title, hint], at) => {
    const list = lists[at];
    return list && list.items.length > 0 ? [section(review, title, hint, list, desk)] : [];
  });
  return [
    element("h2", {}, "Your runs"),
    ...(sections.length > 0
      ? sections
      : [
          element(
            "p",
            { class: "empty" },
            "You have not sent a run yet. ",
            element("a", { href: "/plan" }, "Plan a test"),
            ", or ",
            element("a", { href: "/check" }, "check a log"),
            " and submit it.",
          ),
        ]),
  ];
};

const listAddress = (review: string, after: string | null): string =>
  `/v1/runs?mine=true&review=${review}&first=${PAGE}&fields=${OWN_FIELDS}${after === null ? "" : `&after=${encodeURIComponent(after)}`}`;

function section(review: string, title: string, hint: string, list: Listed<OwnRun>, desk: DeskWork): HTMLElement {
  const level = review === FOLDED ? "h3" : "h4";
  const cards = element("ul", { class: "runs" }, ...list.items.map((run) => card(run, level, desk)));
  const head = `${title} (${list.items.length}${list.pageInfo.hasNextPage ? " and more" : ""})`;
  const body = [hint !== "" && element("p", {}, hint), cards, ...moreOf(review, list, cards, level, desk)];
  if (review === FOLDED) return element("details", {}, element("summary", {}, head), ...body);
  return element("section", { "aria-label": title }, element("h3", {}, head), ...body);
}

function moreOf(
  review: string,
  list: Listed<OwnRun>,
  cards: HTMLElement,
  level: "h3" | "h4",
  desk: DeskWork,
): HTMLElement[] {
  if (!list.pageInfo.hasNextPage) return [];
  let after = list.pageInfo.endCursor ?? null;
  const more = button("More", () =>
    desk.during(async () => {
      const next = await desk.session.get<Listed<OwnRun>>(listAddress(review, after));
      cards.append(...next.items.map((run) => card(run, level, desk)));
      after = next.pageInfo.endCursor ?? null;
      if (!next.pageInfo.hasNextPage) more.remove();
    }),
  );
  return [element("p", { class: "actions" }, more)];
}

function card(run: OwnRun, level: "h3" | "h4", desk: DeskWork): HTMLElement {
  return element(
    "li",
    { class: "run" },
    ...runHeading(run, level),
    ...foundOf(run, desk.figureTitle, run.review === "accepted" || run.review === "withdrawn"),
    ...runActions(run, desk),
    element("p", {}, element("a", { href: `#run/${run.id}` }, "Findings and history")),
  );
}
