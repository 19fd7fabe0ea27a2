import { element } from "../elements.js";
import type { Listed } from "../service/view.js";
import { button } from "./button.js";
import type { DeskWork } from "./desk-work.js";

/**
 * A button that adds the next page of a list, while there is one.
 *
 * @param address of the list, with a query; the cursor is added
 * @param add shows the items of a further page
 */
export function moreButton<T>(
  first: Listed<T>,
  address: string,
  add: (items: readonly T[]) => void,
  desk: DeskWork,
  text = "More",
): HTMLElement[] {
  if (!first.pageInfo.hasNextPage) return [];
  let after = first.pageInfo.endCursor ?? "";
  const more = button(text, () =>
    desk.during(async () => {
      const next = await desk.session.get<Listed<T>>(`${address}&after=${encodeURIComponent(after)}`);
      add(next.items);
      after = next.pageInfo.endCursor ?? "";
      if (!next.pageInfo.hasNextPage) more.remove();
    }),
  );
  return [element("p", { class: "actions" }, more)];
}
