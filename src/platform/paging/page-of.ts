import type { CursorKey, CursorList, KeyKind } from "./cursor.js";
import { type Page, type PageArgs, readPage } from "./page.js";

/** A list that is short enough to be whole in memory, in rising order of its keys. */
export interface WholeList<T, K extends readonly KeyKind[]> extends CursorList<K> {
  readonly items: readonly T[];
  readonly keyOf: (item: T) => CursorKey<K>;
}

/** A page of a list that is whole in memory. */
export function pageOf<T, const K extends readonly KeyKind[]>(
  args: PageArgs,
  { items, ...list }: WholeList<T, K>,
): Promise<Page<T>> {
  return readPage(args, {
    ...list,
    read: async ({ after, before, backward, take }) => {
      const between = items.filter((item) => {
        const key = list.keyOf(item);
        return (!after || compare(key, after) > 0) && (!before || compare(key, before) < 0);
      });
      return (backward ? between.reverse() : between).slice(0, take);
    },
    count: async () => items.length,
  });
}

/** Numbers by their size, texts by their code units. */
function compare(a: readonly (string | number)[], b: readonly (string | number)[]): number {
  const at = a.findIndex((one, index) => one !== b[index]);
  return at < 0 ? 0 : (a[at] as string) < (b[at] as string) ? -1 : 1;
}
