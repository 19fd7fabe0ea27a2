import type { ColumnMap, SavedColumnMap } from "../../../core/model.js";
import { element } from "../elements.js";
import type { LogColumns } from "../log/messages.js";
import { Refusal } from "../service/service.js";

const MAX_LABEL = 80;

/** What of one's own column maps a section of columns works with. */
export interface SavedMaps {
  readonly maps: readonly SavedColumnMap[];
  /** Keeps a map for logs with a header row; null while nobody is signed in. */
  readonly save: ((map: SavedColumnMap) => Promise<void>) | null;
}

/** Keeping the map that was mended under one's own account, and picking one that was kept. */
export function savedMaps(
  { headers, map }: LogColumns,
  { maps, save }: SavedMaps,
  choose: (map: ColumnMap) => void,
): HTMLElement[] {
  const isMapped = Object.keys(map).length > 0;
  return [
    ...(maps.length > 0 ? [picking(maps, choose)] : []),
    ...(isMapped && save ? [keeping(headers, map, save)] : []),
    ...(isMapped && !save
      ? [element("p", { class: "small" }, "Sign in below to keep this map for logs with the same header row.")]
      : []),
  ];
}

function picking(maps: readonly SavedColumnMap[], choose: (map: ColumnMap) => void): HTMLElement {
  const options = maps.map(({ label }) => element("option", { value: label }, label));
  const select = element("select", {}, element("option", { value: "" }, "Choose\u2026"), ...options);
  select.addEventListener("change", () => {
    const picked = maps.find(({ label }) => label === select.value);
    if (picked) choose(picked.columns);
  });
  return element("p", { class: "saved-maps" }, element("label", {}, "Read them by a map that you saved", select));
}

function keeping(
  header: readonly string[],
  columns: ColumnMap,
  save: (map: SavedColumnMap) => Promise<void>,
): HTMLElement {
  const label = element("input", { name: "map-label", required: true, maxlength: MAX_LABEL, autocomplete: "off" });
  const status = element("p", { role: "status" });
  const form = element(
    "form",
    { class: "choices keep-map" },
    element("label", {}, "Keep this map as", label),
    element("button", { class: "plain" }, "Save the column map"),
  );
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    try {
      await save({ label: label.value.trim(), header, columns });
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      status.textContent = error.message;
    }
  });
  return element("div", {}, form, status);
}
