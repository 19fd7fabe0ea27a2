import { element } from "../../elements.js";
import { FieldForm } from "../../form/field-form.js";
import type { Listed, View } from "../../service/view.js";
import type { DeskView, DeskWork } from "../desk-work.js";
import { moreButton } from "../more-button.js";
import { packNames } from "../pack-names.js";
import { counted } from "../texts.js";
import { newSpecimen } from "./new-specimen.js";

type Specimen = View<"SpecimenView">;

const PAGE = 25;

/** One's own specimens: single packs that are tested, each of a product of the register, and a way to register another. */
export const showSpecimens: DeskView = async (desk) => {
  const address = `/v1/specimens?first=${PAGE}`;
  const list = await desk.session.get<Listed<Specimen>>(address);
  const cards = element("ul", { class: "runs" }, ...(await cardsOf(list.items, desk)));
  return [
    element("h2", {}, "Your specimens"),
    element(
      "p",
      {},
      "A specimen is the single pack on your bench. Its runs are judged by what is registered of its product. ",
      element("strong", {}, "Never test a pack that is hot, swollen or damaged."),
    ),
    newSpecimen(desk),
    list.items.length > 0 ? cards : element("p", { class: "empty" }, "You have registered none yet."),
    ...moreButton(
      list,
      address,
      (items) => void desk.during(async () => cards.append(...(await cardsOf(items, desk)))),
      desk,
    ),
  ];
};

async function cardsOf(specimens: readonly Specimen[], desk: DeskWork): Promise<HTMLElement[]> {
  const names = await packNames(
    specimens.map(({ packId }) => packId),
    desk.session,
  );
  return specimens.map((one) => card(one, names.get(one.packId), desk));
}

function card(specimen: Specimen, pack: HTMLElement | undefined, desk: DeskWork): HTMLElement {
  const { packId, label, cycles, massGrams } = specimen;
  return element(
    "li",
    { class: "run" },
    element("h3", {}, element("bdi", {}, label)),
    element(
      "p",
      { class: "subtitle" },
      element("a", { href: `/packs/${packId}` }, pack?.cloneNode(true) ?? "a pack that is not listed"),
      ` \u00b7 ${counted(cycles, "cycle")}${massGrams ? ` \u00b7 ${massGrams} g` : ""}`,
    ),
    element(
      "p",
      { class: "actions" },
      element("a", { class: "button plain", href: `/plan?pack=${packId}` }, "Plan a test of it"),
    ),
    element("details", {}, element("summary", {}, "Correct it"), correction(specimen, desk)),
  );
}

function correction({ id, label, cycles, massGrams }: Specimen, desk: DeskWork): HTMLElement {
  const form = new FieldForm(
    {
      fields: [
        { pointer: "/label", label: "Your name for it", kind: "text", value: label, maxLength: 80 },
        { pointer: "/cycles", label: "Age in full cycles", kind: "number", value: cycles },
        {
          pointer: "/massGrams",
          label: "Mass with leads and connector, g (may be left out)",
          kind: "number",
          value: massGrams ?? null,
          emptyIsNull: true,
        },
        { pointer: "/reason", label: "Why, for the record (may be left out)", kind: "long", maxLength: 1000 },
      ],
      before: [element("p", { class: "small" }, "Runs that depend on what you change are judged anew.")],
      button: "Correct the specimen",
    },
    async (body) => {
      await desk.session.send("PATCH", `/v1/specimens/${id}`, body);
      await desk.redraw();
      desk.say("Corrected: ", element("bdi", {}, label), ".");
    },
    (work) => desk.during(work),
  );
  return form.element;
}
