import { element } from "../../elements.js";
import { FieldForm } from "../../form/field-form.js";
import type { Listed, View } from "../../service/view.js";
import type { DeskView, DeskWork } from "../desk-work.js";
import { moreButton } from "../more-button.js";
import { benchFields, LOADS } from "./bench-fields.js";

type Bench = View<"BenchView">;

const PAGE = 25;

/** One's own benches with how accurate they read, and a form that registers another. */
export const showBenches: DeskView = async (desk) => {
  const address = `/v1/benches?first=${PAGE}`;
  const list = await desk.session.get<Listed<Bench>>(address);
  const card = (bench: Bench) => benchCard(bench, desk);
  const cards = element("ul", { class: "runs" }, ...list.items.map(card));
  const form = new FieldForm(
    { fields: benchFields(null), button: "Register the bench" },
    async (body) => {
      await desk.session.send("POST", "/v1/benches", body);
      await desk.redraw();
      desk.say("Registered: ", element("bdi", {}, String(body.label)), ".");
    },
    (work) => desk.during(work),
  );
  return [
    element("h2", {}, "Your benches"),
    element(
      "p",
      {},
      "What a bench is said to read decides how sure your results are. State what its meters are good for, as in their data sheets or from a calibration.",
    ),
    list.items.length > 0 ? cards : element("p", { class: "empty" }, "You have registered none yet."),
    ...moreButton(list, address, (items) => cards.append(...items.map(card)), desk),
    element(
      "section",
      { class: "sheet", "aria-label": "Register a bench" },
      element("h3", {}, "Register a bench"),
      form.element,
    ),
  ];
};

function benchCard(bench: Bench, desk: DeskWork): HTMLElement {
  const { id, label, load, voltage, current, sense, version } = bench;
  const form = new FieldForm(
    {
      fields: [
        ...benchFields(bench),
        { pointer: "/reason", label: "Why, for the record (may be left out)", kind: "long", maxLength: 1000 },
      ],
      before: [
        element(
          "p",
          { class: "small" },
          "Runs that were measured on it keep what was stated then; later ones are judged by what you state now.",
        ),
      ],
      button: "State it so",
    },
    async (body) => {
      await desk.session.send("PATCH", `/v1/benches/${id}`, body);
      await desk.redraw();
      desk.say("Stated otherwise: ", element("bdi", {}, label), ".");
    },
    (work) => desk.during(work),
  );
  return element(
    "li",
    { class: "run" },
    element("h3", {}, element("bdi", {}, label)),
    element(
      "p",
      { class: "subtitle" },
      [
        LOADS[load.kind],
        `voltage ${accuracy(voltage, "V")}`,
        `current ${accuracy(current, "A")}`,
        sense.point === "pack" ? "sensed at the pack" : "sensed past leads",
        ...(version > 1 ? [`version ${version}`] : []),
      ].join(" \u00b7 "),
    ),
    element("details", {}, element("summary", {}, "State it otherwise"), form.element),
  );
}

const accuracy = ({ percent, offset }: View<"VoltageAccuracyView">, unit: string): string =>
  `\u00b1\u202f(${percent} % + ${offset}\u00a0${unit})`;
