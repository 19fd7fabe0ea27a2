import { element } from "../elements.js";

/** The head of a column; that of numbers stands to the right, as they do. */
export interface Head {
  readonly text: string;
  readonly isNumber?: true;
}

/** A table that scrolls by itself where it is too wide. */
export function tableOf(name: string, heads: readonly Head[], rows: readonly HTMLElement[]): HTMLElement {
  return element(
    "div",
    { class: "scroll", role: "region", "aria-label": name, tabindex: 0 },
    element(
      "table",
      {},
      element(
        "thead",
        {},
        element(
          "tr",
          {},
          ...heads.map(({ text, isNumber }) =>
            element("th", { scope: "col", class: isNumber ? "number" : null }, text),
          ),
        ),
      ),
      element("tbody", {}, ...rows),
    ),
  );
}
