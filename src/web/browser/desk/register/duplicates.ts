import { element } from "../../elements.js";
import type { Listed, View } from "../../service/view.js";
import type { DeskView, DeskWork } from "../desk-work.js";
import { moreButton } from "../more-button.js";
import { factsOf } from "../pack-facts.js";
import { packName } from "../texts.js";
import { mergedInto } from "./merged.js";

type Pack = View<"PackView">;

const PAGE = 20;
const WHY: Readonly<Record<View<"SimilarPackView">["why"], string>> = {
  "same-name": "has the same maker and name, once case, spaces and ratings are left out",
  "similar-name": "has a maker and a name spelt much alike",
};

/** Packs that may be one: a pack is looked for, then what the record has that is like it. @param id what is looked for */
export const showDuplicates: DeskView = async (desk, id) => {
  const search = id.trim();
  return [
    element("h2", {}, "Duplicates"),
    element(
      "p",
      {},
      "One product registered twice divides its runs. Look for one of the two packs, then hold it against those like it.",
    ),
    searchForm(search, desk),
    ...(search === "" ? [] : await found(search, desk)),
  ];
};

function searchForm(search: string, desk: DeskWork): HTMLElement {
  const field = element("input", { type: "search", name: "search", value: search, maxlength: 100, required: true });
  const form = element(
    "form",
    { class: "choices", role: "search" },
    element("label", {}, "Maker or name", field),
    element("button", {}, "Find"),
  );
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    desk.go(`#duplicates/${encodeURIComponent(field.value.trim())}`);
  });
  return form;
}

async function found(search: string, desk: DeskWork): Promise<HTMLElement[]> {
  const address = `/v1/packs?search=${encodeURIComponent(search)}&first=${PAGE}`;
  const list = await desk.session.get<Listed<Pack>>(address);
  const card = (pack: Pack) =>
    element(
      "li",
      { class: "run" },
      element("h3", {}, element("a", { href: `#likeness/${pack.id}` }, packName(pack))),
      element("p", { class: "subtitle" }, factsOf(pack).join(" \u00b7 ")),
    );
  if (list.items.length === 0) return [element("p", { class: "empty" }, "No pack is called like that.")];
  const cards = element("ul", { class: "runs" }, ...list.items.map(card));
  return [cards, ...moreButton(list, address, (items) => cards.append(...items.map(card)), desk, "More packs")];
}

/** A pack with those that it may be, those that were merged into it, and any other to hold it against. */
export const showLikeness: DeskView = async (desk, id) => {
  const place = `/v1/packs/${encodeURIComponent(id)}`;
  const [pack, similar] = await Promise.all([
    desk.session.get<Pack>(place),
    desk.session.get<View<"SimilarPacksView">>(`${place}/similar`),
  ]);
  return [
    element("h2", {}, "Packs like ", packName(pack)),
    element("p", { class: "subtitle" }, factsOf(pack).join(" \u00b7 ")),
    similar.items.length > 0
      ? element(
          "ul",
          { class: "runs" },
          ...similar.items.map((one) =>
            element(
              "li",
              { class: "run" },
              element("h3", {}, element("a", { href: `#merge/${pack.id}~${one.pack.id}` }, packName(one.pack))),
              element("p", { class: "subtitle" }, factsOf(one.pack).join(" \u00b7 ")),
              element("p", { class: "small" }, `It ${WHY[one.why]}.`),
            ),
          ),
        )
      : element("p", { class: "empty" }, "The record has no pack like it."),
    anyOther(pack, desk),
    ...(await mergedInto(pack, desk)),
    element("p", { class: "actions" }, element("a", { href: "#duplicates" }, "Look for another pack")),
  ];
};

/** Packs sold under two names are alike in nothing that is registered: any other can be named. */
function anyOther(pack: Pack, desk: DeskWork): HTMLElement {
  const field = element("input", { type: "search", maxlength: 100, required: true });
  const results = element("ul", { class: "plainly" });
  const form = element(
    "form",
    { class: "choices", role: "search", "aria-label": "Another pack" },
    element("label", {}, "Maker or name of the other", field),
    element("button", { class: "plain" }, "Find the other"),
  );
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    void desk.during(async () => {
      const { items } = await desk.session.get<Listed<Pack>>(
        `/v1/packs?search=${encodeURIComponent(field.value.trim())}&first=${PAGE}`,
      );
      const others = items.filter((one) => one.id !== pack.id);
      results.replaceChildren(
        ...others.map((one) =>
          element(
            "li",
            {},
            element("a", { href: `#merge/${pack.id}~${one.id}` }, packName(one)),
            ` \u00b7 ${factsOf(one)[0]}`,
          ),
        ),
      );
      desk.say(others.length === 0 ? "No other pack is called like that." : "");
    });
  });
  return element(
    "details",
    {},
    element("summary", {}, "Hold it against any other pack, as one sold under two names"),
    form,
    results,
  );
}
