import { element, show } from "../../elements.js";
import { FieldForm } from "../../form/field-form.js";
import type { Field } from "../../form/fields.js";
import { Refusal } from "../../service/service.js";
import type { View } from "../../service/view.js";
import { button } from "../button.js";
import type { DeskWork } from "../desk-work.js";
import { factsOf } from "../pack-facts.js";
import { packName } from "../texts.js";

type Pack = View<"PackView">;

const CHEMISTRIES = { lipo: "LiPo", lihv: "LiHV", liion: "Li-ion", lifepo4: "LiFePO\u2084" };
const FIELDS: readonly Field[] = [
  { pointer: "/maker", label: "Maker", hint: "Who makes or sells it.", kind: "text", maxLength: 80 },
  { pointer: "/name", label: "Name", hint: "What it is sold as.", kind: "text", maxLength: 80 },
  { pointer: "/chemistry", label: "Chemistry", kind: "choice", options: CHEMISTRIES, value: "lipo" },
  { pointer: "/series", label: "Cells in series", kind: "number" },
  { pointer: "/parallel", label: "Strings in parallel", kind: "number", value: 1 },
  { pointer: "/ratedCapacityMah", label: "Rated capacity, mAh", kind: "number" },
  {
    pointer: "/labelContinuousC",
    label: "Continuous rating on the label, C (may be left out)",
    kind: "number",
    emptyIsNull: true,
  },
  {
    pointer: "/labelBurstC",
    label: "Burst rating on the label, C (may be left out)",
    kind: "number",
    emptyIsNull: true,
  },
  {
    pointer: "/massGrams",
    label: "Mass with leads and connector, g (may be left out)",
    kind: "number",
    emptyIsNull: true,
  },
  { pointer: "/connector", label: "Connector (may be left out)", kind: "text", emptyIsNull: true, maxLength: 40 },
  { pointer: "/leadGaugeAwg", label: "Size of a main lead, AWG (may be left out)", kind: "number", emptyIsNull: true },
];

/** Registers a product as its label states it; one that the record may have is offered before. */
export function newPack(desk: DeskWork, take: (pack: Pack) => void): HTMLElement {
  const known = element("div", { "aria-live": "polite" });
  const register = async (body: object, differsFrom: readonly string[]) => {
    try {
      const pack = await desk.session.send<Pack>("POST", "/v1/packs", {
        ...body,
        ...(differsFrom.length > 0 ? { differsFrom } : {}),
      });
      desk.say("Registered: ", packName(pack), ". A moderator confirms it.");
      take(pack);
    } catch (error) {
      const candidates = error instanceof Refusal ? await candidatesOf(error, desk) : null;
      if (!candidates) throw error;
      show(
        known,
        ...offer(candidates, error as Refusal, (ids) => register(body, [...differsFrom, ...ids]), desk, take),
      );
      known.querySelector("button")?.focus();
    }
  };
  const form = new FieldForm(
    { fields: FIELDS, button: "Register the pack" },
    async (body) => {
      show(known);
      await register(body, []);
    },
    (work) => desk.during(work),
  );
  return element("div", {}, form.element, known);
}

/** Packs that the service takes it for; null when it was refused for another reason. */
async function candidatesOf({ code, problem }: Refusal, { session }: DeskWork): Promise<Pack[] | null> {
  const ids =
    code === "similar-pack"
      ? (problem?.similarPacks ?? []).map(({ id }) => id)
      : code === "already-exists" && problem?.existingId
        ? [problem.existingId]
        : null;
  return ids && Promise.all(ids.map((id) => session.get<Pack>(`/v1/packs/${id}`)));
}

function offer(
  candidates: readonly Pack[],
  { code }: Refusal,
  registerAll: (ids: readonly string[]) => Promise<void>,
  desk: DeskWork,
  take: (pack: Pack) => void,
): HTMLElement[] {
  return [
    element(
      "p",
      {},
      element(
        "strong",
        {},
        code === "similar-pack" ? "Is it one of these, which the register has?" : "The register has this pack.",
      ),
    ),
    element(
      "ul",
      { class: "plainly" },
      ...candidates.map((pack) =>
        element(
          "li",
          {},
          button(`It is ${pack.maker} ${pack.name}`, () => take(pack), { class: "plain" }),
          ` ${factsOf(pack).join(" \u00b7 ")}`,
        ),
      ),
    ),
    ...(code === "similar-pack"
      ? [
          element(
            "p",
            {},
            button("It is none of these: register it", () =>
              desk.during(() => registerAll(candidates.map(({ id }) => id))),
            ),
          ),
        ]
      : []),
  ];
}
