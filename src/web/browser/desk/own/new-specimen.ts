import { element, show } from "../../elements.js";
import { FieldForm } from "../../form/field-form.js";
import type { Listed, View } from "../../service/view.js";
import { button } from "../button.js";
import type { DeskWork } from "../desk-work.js";
import { factsOf } from "../pack-facts.js";
import { packName } from "../texts.js";
import { newPack } from "./new-pack.js";

type Pack = View<"PackView">;

const MAX_FOUND = 20;

/** Registers a specimen in two steps: which product it is, found or registered; then the specimen itself. */
export function newSpecimen(desk: DeskWork): HTMLElement {
  const step = element("div", { class: "step" });
  const chooseOther = () => show(step, ...choosing());
  const take = (pack: Pack) => {
    show(step, specimenOf(pack, desk, chooseOther));
    step.querySelector("input")?.focus();
  };
  const choosing = () => [
    packSearch(desk, take),
    element("details", {}, element("summary", {}, "It is not in the register: register the pack"), newPack(desk, take)),
  ];
  chooseOther();
  return element(
    "section",
    { class: "sheet", "aria-label": "Register a specimen" },
    element("h3", {}, "Register a specimen"),
    step,
  );
}

function packSearch(desk: DeskWork, take: (pack: Pack) => void): HTMLElement {
  const field = element("input", { type: "search", name: "pack", maxlength: 100, required: true });
  const found = element("ul", { class: "plainly" });
  const form = element(
    "form",
    { class: "choices", role: "search" },
    element("label", {}, "Which pack is it? Maker or name", field),
    element("button", {}, "Find the pack"),
  );
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    void desk.during(async () => {
      const { items } = await desk.session.get<Listed<Pack>>(
        `/v1/packs?search=${encodeURIComponent(field.value.trim())}&first=${MAX_FOUND}`,
      );
      found.replaceChildren(
        ...items.map((pack) =>
          element(
            "li",
            {},
            button(`${pack.maker} ${pack.name}`, () => take(pack), { class: "plain" }),
            ` ${factsOf(pack).join(" \u00b7 ")}`,
          ),
        ),
      );
      desk.say(items.length === 0 ? "The register has no pack that is called like that. Register it below." : "");
    });
  });
  return element("div", {}, form, found);
}

function specimenOf(pack: Pack, desk: DeskWork, chooseOther: () => void): HTMLElement {
  const form = new FieldForm(
    {
      fields: [
        {
          pointer: "/label",
          label: "Your name for it",
          hint: "What tells it from others of the same pack, such as a number on it.",
          kind: "text",
          maxLength: 80,
        },
        { pointer: "/cycles", label: "Age in full cycles", hint: "0 for a new one.", kind: "number" },
        {
          pointer: "/massGrams",
          label: "Mass with leads and connector, g (may be left out)",
          hint: "As you weighed it.",
          kind: "number",
          emptyIsNull: true,
        },
      ],
      button: "Register the specimen",
    },
    async (body) => {
      await desk.session.send("POST", "/v1/specimens", { packId: pack.id, ...body });
      await desk.redraw();
      desk.say("Registered: ", element("bdi", {}, String(body.label)), ", a specimen of ", packName(pack), ".");
    },
    (work) => desk.during(work),
  );
  return element(
    "div",
    {},
    element(
      "p",
      {},
      "A specimen of ",
      element("strong", {}, packName(pack)),
      ` \u00b7 ${factsOf(pack).join(" \u00b7 ")}`,
    ),
    form.element,
    element("p", {}, button("It is another pack", chooseOther, { class: "plain" })),
  );
}
