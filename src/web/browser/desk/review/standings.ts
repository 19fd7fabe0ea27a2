import { PROTOCOLS } from "../../../words.js";
import { element } from "../../elements.js";
import { FieldForm } from "../../form/field-form.js";
import type { Listed, View } from "../../service/view.js";
import type { DeskView, DeskWork } from "../desk-work.js";
import { moreButton } from "../more-button.js";
import { tableOf } from "../table.js";
import { counted, packName, valueText } from "../texts.js";

type Review = View<"StandingReviewView">;

const PAGE = 15;

/** Packs whose standings are disputed, or for which results are held: each is decided on with a reason. */
export const showStandings: DeskView = async (desk) => {
  const address = `/v1/standing-reviews?first=${PAGE}`;
  const list = await desk.session.get<Listed<Review>>(address);
  const cards = element("ul", { class: "runs" }, ...list.items.map((one) => cardOf(one, desk)));
  return [
    element("h2", {}, "Disputed standings"),
    element(
      "p",
      {},
      "A confirmed value does not move far by itself, and a result far from the others' is held. Look at the runs before you decide.",
    ),
    list.items.length > 0 ? cards : element("p", { class: "empty" }, "Nothing is disputed, and no result is held."),
    ...moreButton(list, address, (items) => cards.append(...items.map((one) => cardOf(one, desk))), desk),
  ];
};

function cardOf(review: Review, desk: DeskWork): HTMLElement {
  const { pack, protocol, disputes, held } = review;
  return element(
    "li",
    { class: "run" },
    element("h3", {}, element("a", { href: `/packs/${pack.id}`, target: "_blank", rel: "noopener" }, packName(pack))),
    element("p", { class: "subtitle" }, PROTOCOLS[protocol] ?? protocol),
    ...(disputes.length > 0 ? [disputed(review, desk)] : []),
    ...held.map((one) => heldResults(review, one, desk)),
  );
}

const figureOf = (figure: string, load: number | null | undefined, desk: DeskWork): string =>
  `${desk.figureTitle(figure)}${typeof load === "number" ? `, ${load}\u00a0A` : ""}`;

function disputed({ pack, protocol, disputes }: Review, desk: DeskWork): HTMLElement {
  const form = new FieldForm(
    {
      fields: [
        {
          pointer: "/decision",
          label: "What is shown from now on",
          kind: "choice",
          options: {
            "keep-shown": "the value that is shown: the new results do not move it yet",
            "take-computed": "what all results give: they are right",
          },
          value: "keep-shown",
        },
        note(),
      ],
      button: "Decide on these standings",
    },
    async (body) => {
      await desk.session.send("POST", "/v1/standing-reviews/disputes", { packId: pack.id, protocol, ...body });
      await desk.redraw();
      desk.say("Decided: the standings of ", packName(pack), " follow.");
    },
    (work) => desk.during(work),
  );
  return element(
    "div",
    {},
    tableOf(
      `Disputed standings of ${pack.maker} ${pack.name}`,
      [
        { text: "Figure" },
        { text: "Shown", isNumber: true },
        { text: "All results give", isNumber: true },
        { text: "Testers", isNumber: true },
      ],
      disputes.map((one) =>
        element(
          "tr",
          {},
          element("th", { scope: "row" }, figureOf(one.figure, one.load, desk)),
          element("td", { class: "number" }, valueText(one.value, one.expandedUncertainty / 2, one.unit)),
          element("td", { class: "number" }, valueText(one.computedValue, one.expandedUncertainty / 2, one.unit)),
          element("td", { class: "number" }, String(one.testers)),
        ),
      ),
    ),
    element("details", {}, element("summary", {}, "Decide"), form.element),
  );
}

function heldResults({ pack, protocol }: Review, held: View<"HeldTesterView">, desk: DeskWork): HTMLElement {
  const { tester, results } = held;
  const form = new FieldForm(
    {
      fields: [
        {
          pointer: "/decision",
          label: "What becomes of them",
          kind: "choice",
          options: { "set-aside": "they are set aside: they do not count", count: "they count like the others'" },
          value: "set-aside",
        },
        note(),
      ],
      button: "Decide on these results",
    },
    async (body) => {
      const sent = { packId: pack.id, protocol, tester: tester.id, ...body };
      await desk.session.send("POST", "/v1/standing-reviews/held-results", sent);
      await desk.redraw();
      desk.say("Decided on the results of ", element("bdi", {}, tester.handle), ".");
    },
    (work) => desk.during(work),
  );
  const name = `Held results of ${tester.handle}`;
  return element(
    "div",
    {},
    element("h4", {}, "Held: ", element("bdi", {}, tester.handle), `, ${counted(results.length, "result")}`),
    tableOf(
      `${name}, ${pack.maker} ${pack.name}`,
      [
        { text: "Figure" },
        { text: "Found", isNumber: true },
        { text: "The others", isNumber: true },
        { text: "Apart by", isNumber: true },
      ],
      results.map((one) =>
        element(
          "tr",
          {},
          element("th", { scope: "row" }, figureOf(one.figure, one.load, desk)),
          element("td", { class: "number" }, valueText(one.value, one.uncertainty, one.unit)),
          element("td", { class: "number" }, valueText(one.othersValue, one.othersUncertainty, one.unit)),
          element("td", { class: "number" }, `${one.departure.toPrecision(2)} u`),
        ),
      ),
    ),
    element("details", {}, element("summary", {}, "Decide"), form.element),
  );
}

const note = () => ({ pointer: "/note", label: "Why, for the audit log", kind: "long", maxLength: 1000 }) as const;
