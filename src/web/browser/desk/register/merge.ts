import { element } from "../../elements.js";
import { FieldForm } from "../../form/field-form.js";
import type { View } from "../../service/view.js";
import type { DeskView, DeskWork } from "../desk-work.js";
import { packName } from "../texts.js";
import { type HeldPack, held, JUDGED } from "./held-pack.js";
import { undoMerge } from "./merged.js";
import { sideBySide } from "./side-by-side.js";

type Pack = View<"PackView">;

/** Two packs side by side, with what merging one into the other would do. @param id both ids, between them a tilde */
export const showMerge: DeskView = async (desk, id) => {
  const [first = "", second = ""] = id.split("~");
  const [a, b] = await Promise.all([held(first, desk), held(second, desk)]);
  return [
    element("h2", {}, "Are they one product?"),
    element(
      "p",
      {},
      "Hold both against the product, such as pictures of the labels. Packs of one name from different years may differ.",
    ),
    ...sideBySide(a, b, desk),
    mergeForm(a, b, desk),
    element("p", { class: "actions" }, element("a", { href: `#likeness/${a.pack.id}` }, "Back to the packs like it")),
  ];
};

function mergeForm(a: HeldPack, b: HeldPack, desk: DeskWork): HTMLElement {
  const name = ({ pack: { maker, name, ratedCapacityMah } }: HeldPack) => `${maker} ${name}, ${ratedCapacityMah} mAh`;
  const follows = element("ul", {});
  const isKept = (one: HeldPack) => form.input("/into").value === one.pack.id;
  const form = new FieldForm(
    {
      fields: [
        {
          pointer: "/into",
          label: "The pack that stays",
          kind: "choice",
          options: { [b.pack.id]: name(b), [a.pack.id]: name(a) },
          value: b.pack.id,
        },
        { pointer: "/reason", label: "Why, for the record (may be left out)", kind: "long", maxLength: 1000 },
      ],
      before: [
        element("div", { "aria-live": "polite" }, element("p", {}, element("strong", {}, "What it does")), follows),
      ],
      button: "Merge",
    },
    async (body) => {
      const gone = isKept(b) ? a.pack : b.pack;
      const into = await desk.session.send<Pack>("POST", `/v1/packs/${gone.id}/merge`, body);
      desk.say("Merged: ", packName(gone), " is ", packName(into), " now. ", undoMerge(gone, desk));
      desk.go(`#likeness/${into.id}`);
    },
    (work) => desk.during(work),
  );
  const update = () => {
    const [into, gone] = isKept(b) ? [b, a] : [a, b];
    follows.replaceChildren(...effectsOf(gone, into).map((text) => element("li", {}, text)));
    form.buttonText = `Merge ${gone.pack.maker} ${gone.pack.name} into the other`;
  };
  form.input("/into").addEventListener("change", update);
  update();
  return element(
    "section",
    { class: "sheet", "aria-label": "Merge them" },
    element("h3", {}, "Merge them"),
    form.element,
  );
}

/** What a merge does, said before it is done. */
function effectsOf({ pack: gone, runs }: HeldPack, { pack: into }: HeldPack): string[] {
  const differs = JUDGED.some(({ member }) => gone[member] !== into[member]);
  const [from, to] = [gone, into].map(({ maker, name }) => `${maker} ${name}`);
  return [
    `Specimens of ${from} with ${runs.count} become those of ${to}, and count in its standings, which are computed anew.`,
    `The address of ${from} leads to ${to} from then on, and its name stays taken.`,
    differs
      ? "The runs are judged anew, since cells, capacity, rating or mass differ: figures and verdicts may change."
      : "The runs keep their figures and verdicts.",
    "They are compared for copies with the runs of the other pack.",
    "It can be undone at any time; specimens registered after the merge then stay where they are.",
  ];
}
