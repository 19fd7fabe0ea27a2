import { PROTOCOLS } from "../../../words.js";
import { element } from "../../elements.js";
import type { View } from "../../service/view.js";
import type { DeskWork } from "../desk-work.js";
import { packName, timeOf, valueText } from "../texts.js";
import { type HeldPack, JUDGED } from "./held-pack.js";

type Row = readonly [label: string, a: Node | string, b: Node | string, differs?: boolean];

const MAX_SHOWN_RUNS = 12;
const MAX_SHOWN_STANDINGS = 20;

/** Labels, standings and runs of two packs, row by row; what differs of the labels is marked and said. */
export function sideBySide(a: HeldPack, b: HeldPack, desk: DeskWork): HTMLElement[] {
  return [
    compared("Label", a, b, labelRows(a.pack, b.pack).map(marked)),
    compared("Standings", a, b, standingRows(a, b, desk), "Neither has a standing yet."),
    element("h3", {}, "Runs"),
    element(
      "div",
      { class: "pair" },
      ...[a, b].map(({ pack, runs }) =>
        element(
          "section",
          {},
          element("h4", {}, packName(pack)),
          element("p", { class: "small" }, `${runs.count}.`),
          element("ul", { class: "plainly" }, ...runs.items.slice(0, MAX_SHOWN_RUNS).map(runLine)),
        ),
      ),
    ),
  ];
}

function compared(title: string, a: HeldPack, b: HeldPack, rows: readonly Row[], none = ""): HTMLElement {
  if (rows.length === 0)
    return element("section", {}, element("h3", {}, title), element("p", { class: "empty" }, none));
  return element(
    "section",
    {},
    element("h3", {}, title),
    element(
      "div",
      { class: "scroll", role: "region", "aria-label": `${title} of both`, tabindex: 0 },
      element(
        "table",
        {},
        element(
          "thead",
          {},
          element(
            "tr",
            {},
            element("td", {}),
            element("th", { scope: "col" }, linked(a)),
            element("th", { scope: "col" }, linked(b)),
          ),
        ),
        element(
          "tbody",
          {},
          ...rows.map(([label, left, right, differs = false]) =>
            element(
              "tr",
              { class: differs ? "changed" : null },
              element("th", { scope: "row" }, label, differs && element("span", { class: "unseen" }, " (differs)")),
              element("td", {}, left),
              element("td", {}, right),
            ),
          ),
        ),
      ),
    ),
  );
}

function marked([label, a, b]: Row): Row {
  const textOf = (value: Node | string) => (typeof value === "string" ? value : value.textContent);
  return [label, a, b, textOf(a) !== textOf(b)];
}

const linked = ({ pack }: HeldPack): HTMLElement =>
  element("a", { href: `/packs/${pack.id}`, target: "_blank", rel: "noopener" }, packName(pack));

function labelRows(a: View<"PackView">, b: View<"PackView">): Row[] {
  const bdi = (text: string) => element("bdi", {}, text);
  const text = (value: unknown, unit = "") =>
    value === null || value === undefined ? "not stated" : `${value}${unit === "" ? "" : `\u00a0${unit}`}`;
  return [
    ["Maker", bdi(a.maker), bdi(b.maker)],
    ["Name", bdi(a.name), bdi(b.name)],
    ...JUDGED.map(({ member, label, unit }): Row => [label, text(a[member], unit), text(b[member], unit)]),
    ["Connector", bdi(a.connector ?? "not stated"), bdi(b.connector ?? "not stated")],
    ["In the register", a.status, b.status],
  ];
}

function standingRows(a: HeldPack, b: HeldPack, desk: DeskWork): Row[] {
  const keyOf = ({ figure, load, protocol }: View<"PackPlaceView">) => `${protocol} ${figure} ${load ?? ""}`;
  const all = new Map([...a.standings, ...b.standings].map((one) => [keyOf(one), one]));
  const text = (held: HeldPack, key: string) => {
    const one = held.standings.find((standing) => keyOf(standing) === key);
    if (!one) return "none";
    const place = `${one.established ? `, place ${one.place}` : ", provisional"}${one.disputed ? ", disputed" : ""}`;
    return `${valueText(one.value, one.uncertainty, one.unit)}${place}`;
  };
  return [...all]
    .slice(0, MAX_SHOWN_STANDINGS)
    .map(([key, { figure, load }]) => [
      `${desk.figureTitle(figure)}${typeof load === "number" ? `, ${load}\u00a0A` : ""}`,
      text(a, key),
      text(b, key),
    ]);
}

function runLine({ tester, protocol, startedAt, uploadedAt, cycles, specimen }: View<"RunListItem">): HTMLElement {
  const age = cycles ?? specimen?.cycles;
  return element(
    "li",
    {},
    `${PROTOCOLS[protocol?.key ?? ""] ?? protocol?.key} by `,
    element("bdi", {}, tester?.handle ?? "somebody"),
    ", ",
    timeOf(startedAt ?? uploadedAt ?? ""),
    ...(typeof age === "number" ? [`, at ${age} cycles`] : []),
  );
}
