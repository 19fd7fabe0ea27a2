import { shownValue } from "../../../../core/uncertainty/digits.js";
import { PROTOCOLS, unitSymbol, VERDICTS } from "../../../words.js";
import { element } from "../../elements.js";
import type { View } from "../../service/view.js";
import { button } from "../button.js";
import type { DeskView, DeskWork } from "../desk-work.js";
import { counted, sentenceOf, signed, timeOf, valueText } from "../texts.js";
import { decisionForm } from "./decide.js";
import { riskWords, signWords } from "./risk.js";
import { traceSection } from "./traces.js";

type Evidence = View<"EvidenceSummaryView">;

/** What decides on a run on one screen, and the decision beside it. */
export const showEvidence: DeskView = async (desk, id) => {
  const evidence = await desk.session.get<Evidence>(`/v1/reviews/${encodeURIComponent(id)}/evidence`);
  const screen = element(
    "div",
    { class: "evidence" },
    element(
      "div",
      { class: "about" },
      ...aboutRun(evidence, desk),
      await traceSection(evidence, desk),
      figures(evidence, desk),
      ...aboutOthers(evidence),
    ),
    decisionForm(evidence, desk),
  );
  return [
    element("h2", {}, element("bdi", {}, evidence.pack.name), ", by ", element("bdi", {}, evidence.tester.handle)),
    screen,
  ];
};

function aboutRun(evidence: Evidence, desk: DeskWork): HTMLElement[] {
  const { protocol, verdict, uploadedAt, risk, failed, remarks, failedCount, remarkCount, looksMade, signs } = evidence;
  const why = riskWords(risk);
  return [
    element(
      "p",
      { class: "subtitle" },
      `${PROTOCOLS[protocol.key] ?? protocol.key} ${protocol.version} \u00b7 ${VERDICTS[verdict ?? ""] ?? "not judged yet"} \u00b7 `,
      timeOf(uploadedAt),
      ` \u00b7 ${evidence.pack.confirmed ? "confirmed pack" : "pack that nobody has confirmed"}`,
    ),
    element(
      "p",
      {},
      element("strong", {}, `Risk ${risk.score.toFixed(0)}. `),
      why.length > 0 ? sentenceOf(why) : "Nothing stands out.",
    ),
    ...claimOf(evidence, desk),
    ...(evidence.appeal
      ? [
          element(
            "div",
            { class: "asked" },
            element("h3", {}, "Appeal"),
            element("p", { class: "words" }, evidence.appeal.note ?? "Its words were erased."),
            element("p", { class: "small" }, evidence.appeal.message),
          ),
        ]
      : []),
    ...rules("Does not conform because", failedCount, failed, "bad"),
    ...rules("Remarks", remarkCount, remarks, "open"),
    ...(looksMade || signs.length > 0
      ? [
          element(
            "div",
            { class: "findings open" },
            element("h3", {}, looksMade ? "It may have been made up" : "Signs to look at"),
            element("ul", {}, ...signs.map((one) => element("li", {}, signWords(one)))),
            element("p", { class: "small" }, "A reason to look closer, and no verdict."),
          ),
        ]
      : []),
  ];
}

function claimOf({ runId, claim }: Evidence, desk: DeskWork): HTMLElement[] {
  const isOwn = claim?.moderator.id === desk.account.id;
  const set = (method: "PUT" | "DELETE", text: string) =>
    desk.during(async () => {
      await desk.session.send(method, `/v1/reviews/${runId}/claim`);
      await desk.redraw();
      desk.say(text);
    });
  if (!claim) {
    const take = button("Claim it for half an hour", () => set("PUT", "Claimed: other moderators leave it to you."), {
      class: "plain",
    });
    return [element("p", { class: "actions" }, take)];
  }
  return [
    element(
      "p",
      { class: "hint" },
      isOwn ? "Claimed by you until " : "Claimed by ",
      ...(isOwn ? [] : [element("bdi", {}, claim.moderator.handle), " until "]),
      timeOf(claim.until),
      ". ",
      isOwn && button("Leave it to others", () => set("DELETE", "Left to others again."), { class: "plain" }),
    ),
  ];
}

function rules(title: string, count: number, judged: readonly View<"JudgedRuleView">[], kind: string): HTMLElement[] {
  if (count === 0) return [];
  const more = count - judged.length;
  return [
    element(
      "div",
      { class: `findings ${kind}` },
      element("h3", {}, title),
      element(
        "ul",
        {},
        ...judged.map(({ rule, message }) => element("li", {}, element("strong", {}, `${rule}:`), ` ${message}`)),
        more > 0 && element("li", {}, `and ${more} more`),
      ),
    ),
  ];
}

const HEADS = ["Figure", "This run", "Others", "Apart", "Pack's place", "After it"];

function figures({ figures, effects }: Evidence, desk: DeskWork): HTMLElement {
  if (figures.length === 0) return element("p", { class: "empty" }, "It has no figures to set beside others.");
  const effectOf = (one: View<"JudgedFigureView">) =>
    effects.find(({ figure, load }) => figure === one.figure && load === one.load);
  return element(
    "section",
    { "aria-labelledby": "figures-title" },
    element("h3", { id: "figures-title" }, "Its figures beside the others'"),
    element(
      "div",
      { class: "scroll", tabindex: 0, role: "region", "aria-label": "Figures" },
      element(
        "table",
        {},
        element("thead", {}, element("tr", {}, ...HEADS.map((text) => element("th", { scope: "col" }, text)))),
        element("tbody", {}, ...figures.map((one) => figureRow(one, effectOf(one), desk))),
      ),
    ),
  );
}

function figureRow(
  one: View<"JudgedFigureView">,
  effect: View<"AcceptanceEffectView"> | undefined,
  { figureTitle }: DeskWork,
): HTMLElement {
  const { figure, load, unit, value, uncertainty, accepted, z, place } = one;
  const after = effect?.after;
  return element(
    "tr",
    { class: z !== null && z !== undefined && Math.abs(z) > 3 ? "far" : null },
    element(
      "th",
      { scope: "row" },
      figureTitle(figure),
      element("span", { class: "label" }, load === null || load === undefined ? "own load" : `at ${load} A`),
    ),
    element("td", {}, valueText(value, uncertainty, unit)),
    element("td", {}, accepted ? middleText(accepted, uncertainty, unit) : "none yet"),
    element("td", {}, apartText(value, accepted ?? null, z ?? null)),
    element("td", {}, place ? String(place) : "none"),
    element(
      "td",
      {},
      after
        ? `${valueText(after.value, after.uncertainty, unit)}, ${after.established ? `place ${after.place}` : "provisional"}`
        : "\u2013",
    ),
  );
}

/** The middle of the others, in as many digits as the run's own uncertainty supports. */
function middleText({ median, runs, testers }: View<"MiddleView">, uncertainty: number, unit: string): string {
  const factor = unit === "ratio" ? 100 : 1;
  const { value } = shownValue(factor * median, 2 * factor * uncertainty);
  return `${value}\u00a0${unitSymbol(unit)} (${counted(runs, "run")}, ${counted(testers, "tester")})`;
}

/** How far the run lies from the others: in percent, and in standard deviations where there are enough of them. */
function apartText(value: number, accepted: View<"MiddleView"> | null, z: number | null): string {
  if (!accepted || accepted.median === 0) return "\u2013";
  const percent = `${signed(100 * (value / accepted.median - 1))}\u00a0%`;
  return z === null ? percent : `${percent}, ${signed(z)}\u00a0s`;
}

function aboutOthers({
  tester,
  copies,
  copyCount,
  sameLogCount,
  replaces,
  latestDecision,
  proposals,
}: Evidence): HTMLElement[] {
  const facts = [
    `${counted(tester.accepted, "run")} accepted, ${tester.rejected} rejected, ${tester.undecided} undecided, ${tester.withdrawn} withdrawn.`,
    ...(tester.withdrawnOfPack > 0 ? [`${tester.withdrawnOfPack} of this pack withdrawn or moved away.`] : []),
    ...(tester.rejectedRivals > 0
      ? [`As a moderator rejected ${counted(tester.rejectedRivals, "run")} of the same class.`]
      : []),
  ];
  return [
    element(
      "section",
      { "aria-labelledby": "tester-title" },
      element("h3", { id: "tester-title" }, "Its tester"),
      element(
        "p",
        {},
        element("bdi", {}, tester.handle),
        `, ${tester.status}, since `,
        timeOf(tester.since),
        `. ${facts.join(" ")}`,
      ),
    ),
    ...(copyCount > 0 || sameLogCount > 0
      ? [
          element(
            "section",
            { "aria-labelledby": "copies-title" },
            element("h3", { id: "copies-title" }, "Looks like the same measurement"),
            sameLogCount > 0 && element("p", {}, `${counted(sameLogCount, "run")} with the very same log.`),
            element("ol", {}, ...copies.map((copy) => element("li", {}, copyWords(copy)))),
          ),
        ]
      : []),
    ...(replaces.length > 0
      ? [element("p", {}, `Made in place of ${counted(replaces.length, "withdrawn run")}.`)]
      : []),
    ...(proposals.length > 0
      ? [
          element(
            "p",
            { class: "hint" },
            "Proposed: ",
            ...proposals.flatMap(({ moderator, decision }, at) => [
              at > 0 ? ", " : "",
              element("bdi", {}, moderator.handle),
              ` would ${decision === "request-info" ? "ask" : decision}`,
            ]),
            ".",
          ),
        ]
      : []),
    ...(latestDecision
      ? [
          element(
            "p",
            { class: "small" },
            `Last decision: ${latestDecision.decision}, by `,
            element("bdi", {}, latestDecision.moderator?.handle ?? "the service's own rule"),
            ", ",
            timeOf(latestDecision.createdAt),
          ),
        ]
      : []),
  ];
}

/** A copy in words. */
export function copyWords({
  review,
  cameFirst,
  otherTester,
  otherPack,
  holdsUp,
  score,
}: View<"JudgedCopyView">): string {
  return [
    `A run that is ${review}`,
    cameFirst ? "uploaded before this one" : "uploaded after this one",
    otherTester ? "by another tester" : "by the same tester",
    ...(otherPack ? ["declared for another pack"] : []),
    `score ${score.toPrecision(3)}`,
    ...(holdsUp ? ["this one cannot be accepted before that is decided"] : []),
  ].join(", ");
}
