import { element } from "../../elements.js";
import type { Listed, View } from "../../service/view.js";
import { button } from "../button.js";
import type { DeskView, DeskWork } from "../desk-work.js";
import { moreButton } from "../more-button.js";

type ColumnMap = View<"ColumnMapView">;

const PAGE = 25;

/** Column maps that one has saved, each for logs with exactly its header row. */
export const showColumnMaps: DeskView = async (desk) => {
  const address = `/v1/column-maps?first=${PAGE}`;
  const list = await desk.session.get<Listed<ColumnMap>>(address);
  const card = (map: ColumnMap) => mapCard(map, desk);
  const cards = element("ul", { class: "runs" }, ...list.items.map(card));
  return [
    element("h2", {}, "Your column maps"),
    element(
      "p",
      {},
      "A saved map is applied to your logs that have exactly its header row. Save one where ",
      element("a", { href: "/check" }, "a log is checked"),
      ".",
    ),
    list.items.length > 0 ? cards : element("p", { class: "empty" }, "You have saved none yet."),
    ...moreButton(list, address, (items) => cards.append(...items.map(card)), desk),
  ];
};

function mapCard({ id, label, header, columns }: ColumnMap, desk: DeskWork): HTMLElement {
  const remove = button(
    "Remove",
    () =>
      desk.during(async () => {
        await desk.session.send("DELETE", `/v1/column-maps/${id}`);
        await desk.redraw();
        desk.say("Removed: ", element("bdi", {}, label), ". Runs keep what it said.");
      }),
    { class: "plain", "aria-label": `Remove the column map ${label}` },
  );
  return element(
    "li",
    { class: "run" },
    element("h3", {}, element("bdi", {}, label)),
    element("p", { class: "subtitle" }, "For the header row ", element("bdi", {}, header.join(" | "))),
    element(
      "ul",
      { class: "plainly" },
      ...Object.entries(columns).map(([channel, column]) =>
        element("li", {}, `${channel}: `, element("bdi", {}, columnText(column))),
      ),
    ),
    element("p", { class: "actions" }, remove),
  );
}

function columnText(column: unknown): string {
  if (typeof column === "string") return column;
  return Object.values(column as Record<string, unknown>)
    .filter((value) => value !== null)
    .join(" ");
}
