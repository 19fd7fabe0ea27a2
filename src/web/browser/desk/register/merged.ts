import { element } from "../../elements.js";
import type { Listed, View } from "../../service/view.js";
import { button } from "../button.js";
import type { DeskWork } from "../desk-work.js";
import { factsOf } from "../pack-facts.js";
import { packName } from "../texts.js";

type Pack = View<"PackView">;

const MAX_SHOWN = 100;

/** Packs that were merged into one, each of which can be made one of its own again. */
export async function mergedInto(pack: Pack, desk: DeskWork): Promise<HTMLElement[]> {
  const { items } = await desk.session.get<Listed<Pack>>(`/v1/packs/${pack.id}/merged?first=${MAX_SHOWN}`);
  if (items.length === 0) return [];
  return [
    element("h3", {}, "Merged into it"),
    element(
      "ul",
      { class: "runs" },
      ...items.map((one) =>
        element(
          "li",
          { class: "run" },
          element("h4", {}, packName(one)),
          element("p", { class: "subtitle" }, factsOf(one).join(" \u00b7 ")),
          element(
            "p",
            { class: "small" },
            "Undone, it has its specimens with all their runs again; specimens registered after the merge stay here.",
          ),
          element("p", { class: "actions" }, undoMerge(one, desk)),
        ),
      ),
    ),
  ];
}

export function undoMerge(pack: Pack, desk: DeskWork): HTMLButtonElement {
  return button(
    "Undo the merge",
    () =>
      desk.during(async () => {
        await desk.session.send("DELETE", `/v1/packs/${pack.id}/merge`);
        desk.say(packName(pack), " is a pack of its own again, with its specimens and runs.");
        desk.go(`#likeness/${pack.id}`);
      }),
    { class: "plain", "aria-label": `Undo the merge of ${pack.maker} ${pack.name}` },
  );
}
