import { element } from "../../elements.js";
import type { Listed, View } from "../../service/view.js";
import { button } from "../button.js";
import type { DeskView, DeskWork } from "../desk-work.js";
import { factsOf } from "../pack-facts.js";
import { packName } from "../texts.js";

type Pack = View<"PackView">;

const PAGE = 30;
const CHECKED: readonly (readonly [part: View<"ConfirmationInput">["checked"][number], text: string])[] = [
  ["label", "The label: maker, name, cells, capacity, C ratings"],
  ["mass", "The mass with leads and connector"],
  ["connector", "The connector"],
  ["leads", "The size of the leads"],
];

const address = (after: string | null) =>
  `/v1/packs?status=proposed&first=${PAGE}${after === null ? "" : `&after=${encodeURIComponent(after)}`}`;

/** Packs that testers proposed, each to be held against the product itself. */
export const showProposedPacks: DeskView = async (desk) => {
  const list = await desk.session.get<Listed<Pack>>(address(null));
  const cards = element("ul", { class: "runs" }, ...list.items.map((pack) => proposed(pack, desk)));
  let after = list.pageInfo.endCursor ?? null;
  const more = button("More packs", () =>
    desk.during(async () => {
      const next = await desk.session.get<Listed<Pack>>(address(after));
      cards.append(...next.items.map((pack) => proposed(pack, desk)));
      after = next.pageInfo.endCursor ?? null;
      if (!next.pageInfo.hasNextPage) more.remove();
    }),
  );
  return [
    element("h2", {}, "Packs to confirm"),
    element(
      "p",
      {},
      "Hold what is registered against the product, such as a picture of its label. Standings of a pack become established only once it is confirmed.",
    ),
    list.items.length > 0 ? cards : element("p", { class: "empty" }, "Every pack is confirmed."),
    ...(list.pageInfo.hasNextPage ? [element("p", { class: "actions" }, more)] : []),
  ];
};

function proposed(pack: Pack, desk: DeskWork): HTMLElement {
  const reason = element("textarea", { rows: 2, maxlength: 1000 });
  const boxes = CHECKED.map(([part]) => element("input", { type: "checkbox", value: part }));
  const [label] = boxes;
  if (label) label.required = true;
  const form = element(
    "form",
    { class: "reply" },
    element(
      "fieldset",
      { class: "options" },
      element("legend", {}, "Held against the product, and as registered"),
      ...CHECKED.map(([, text], at) =>
        element("label", { class: "beside" }, boxes[at] ?? null, element("span", {}, text)),
      ),
    ),
    element("label", { class: "note" }, "By what (may be left out)", reason),
    element("p", { class: "actions" }, element("button", {}, "Confirm the pack")),
  );
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    void desk.during(async () => {
      const checked = boxes.filter((one) => one.checked).map(({ value }) => value);
      await desk.session.send("POST", `/v1/packs/${pack.id}/confirmation`, {
        checked,
        reason: reason.value.trim() || null,
        seen: seenOf(pack),
      });
      await desk.redraw();
      desk.say("Confirmed: ", packName(pack), ". ", takeBack(pack, desk));
    });
  });
  return element(
    "li",
    { class: "run" },
    element("h3", {}, element("a", { href: `/packs/${pack.id}`, target: "_blank", rel: "noopener" }, packName(pack))),
    element("p", { class: "subtitle" }, factsOf(pack).join(" \u00b7 ")),
    element(
      "p",
      { class: "small" },
      element("a", { href: `#likeness/${pack.id}` }, "Is it registered twice? Packs like it"),
    ),
    element("details", {}, element("summary", {}, "Confirm it"), form),
  );
}

/** What of a pack can have been corrected since it was shown. */
function seenOf({ id: _, status: __, ...facts }: Pack): View<"SeenPackInput"> {
  return facts;
}

function takeBack(pack: Pack, desk: DeskWork): HTMLButtonElement {
  return button(
    "Undo",
    () =>
      desk.during(async () => {
        await desk.session.send("DELETE", `/v1/packs/${pack.id}/confirmation`);
        await desk.redraw();
        desk.say("The confirmation was taken back: the pack is proposed again.");
      }),
    { class: "plain" },
  );
}
