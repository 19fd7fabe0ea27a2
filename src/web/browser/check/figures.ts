import { byId, element, show } from "../elements.js";
import type { FigureTable } from "../log/messages.js";

/** Every figure with its expanded uncertainty, a column for each load. */
export function showFigures({ loads, rows }: FigureTable): void {
  const heads = ["Figure", "Own load", ...loads.map((load) => `At ${load} A`)];
  const table = element(
    "table",
    {},
    element("caption", { class: "unseen" }, "Figures of the run"),
    element("thead", {}, element("tr", {}, ...heads.map((text) => element("th", { scope: "col" }, text)))),
    element("tbody", {}, ...rows.map(row)),
  );
  byId("figures").removeAttribute("aria-busy");
  show(
    byId("figures"),
    element("h2", { id: "figures-title" }, "Figures"),
    element(
      "p",
      {},
      "Value \u00b1 U, which covers about 95 %. Other loads are standard loads that the run is translated to.",
    ),
    element("div", { class: "scroll", tabindex: 0, role: "region", "aria-label": "Table of figures" }, table),
  );
}

/** A number stays on the line of its unit. */
const unbroken = (title: string): string => title.replace(/(\d) (?=\p{L})/gu, "$1\u00a0");

const row = ({ title, cells }: FigureTable["rows"][number]): HTMLElement =>
  element(
    "tr",
    {},
    element("th", { scope: "row" }, unbroken(title)),
    ...cells.map((cell) => element("td", { class: "number" }, cell ?? "\u2013")),
  );
