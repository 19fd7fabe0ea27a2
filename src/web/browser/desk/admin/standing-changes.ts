import { element } from "../../elements.js";
import type { View } from "../../service/view.js";
import { button } from "../button.js";
import type { DeskWork } from "../desk-work.js";
import { packNames } from "../pack-names.js";
import { type Head, tableOf } from "../table.js";
import { valueText } from "../texts.js";

type Change = View<"StandingChangeView">;

const AT_ONCE = 20;
const HEADS: readonly Head[] = [
  { text: "Pack" },
  { text: "Figure" },
  { text: "Load" },
  { text: "Before", isNumber: true },
  { text: "After", isNumber: true },
];

/** Standings that move, the largest changes first, some at a time, since each names its pack. */
export async function standingChanges(
  { standingChanges, standingsChanged }: View<"EffectsView">,
  desk: DeskWork,
): Promise<HTMLElement[]> {
  if (standingChanges.length === 0) return [element("p", { class: "empty" }, "No standing changes.")];
  let shown = 0;
  const table = tableOf("Standings that change", HEADS, []);
  const body = table.querySelector("tbody");
  const add = async () => {
    const next = standingChanges.slice(shown, shown + AT_ONCE);
    const names = await packNames(
      next.map(({ packId }) => packId),
      desk.session,
    );
    body?.append(...next.map((change) => rowOf(change, names, desk)));
    shown += next.length;
    if (shown >= standingChanges.length) more.remove();
  };
  const more = button("More standings", () => desk.during(add));
  const actions = standingChanges.length > AT_ONCE ? [element("p", { class: "actions" }, more)] : [];
  await add();
  return [
    element("h3", {}, "Standings that change"),
    ...(standingChanges.length < standingsChanged
      ? [element("p", { class: "small" }, `The largest ${standingChanges.length} of ${standingsChanged} changes.`)]
      : []),
    table,
    ...actions,
  ];
}

function rowOf(change: Change, names: ReadonlyMap<string, HTMLElement>, desk: DeskWork): HTMLElement {
  const { packId, figure, load } = change;
  return element(
    "tr",
    {},
    element(
      "th",
      { scope: "row" },
      element(
        "a",
        { href: `/packs/${packId}`, target: "_blank", rel: "noopener" },
        names.get(packId)?.cloneNode(true) ?? "a pack that is not listed",
      ),
    ),
    element("td", {}, desk.figureTitle(figure)),
    element("td", {}, typeof load === "number" ? `${load}\u00a0A` : "own load"),
    element("td", { class: "number" }, placedText(change.from, change.unit)),
    element("td", { class: "number" }, placedText(change.to, change.unit)),
  );
}

function placedText(placed: unknown, unit: string): string {
  if (!placed) return "none";
  const { value, uncertainty, place } = placed as View<"PlacedValueView">;
  return `${valueText(value, uncertainty, unit)}, place ${place}`;
}
