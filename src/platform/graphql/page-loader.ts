import type { CursorList, KeyKind } from "../paging/cursor.js";
import { type List, type Page, type PageArgs, readPage, type Window } from "../paging/page.js";
import type { GuardedContext } from "./execution/guard-resolvers.js";
import { Loader } from "./loader.js";

/** Lists of one kind that many parents have, each of them ordered alike. */
export interface ParentLists<T, F> {
  /** One window of the lists of some parents, by parent, in one statement. */
  readonly read: (
    parentIds: readonly string[],
    filter: F,
    window: Window,
  ) => Promise<ReadonlyMap<string, readonly T[]>>;
  /** How long the lists of some parents are, by parent; those that are empty may be missing. */
  readonly count: (parentIds: readonly string[], filter: F) => Promise<ReadonlyMap<string, number>>;
}

/** Reads the pages that many parents of one operation show of their lists: alike windows of all of them together. */
export class PageLoader<T, F = null> {
  private readonly windows: Loader<readonly T[]>;
  private readonly counts: Loader<number>;

  /** @param parentsAtOnce most parents whose lists are read by one statement */
  constructor(parentsAtOnce: number, { read, count }: ParentLists<T, F>) {
    this.windows = new Loader(parentsAtOnce, (keys) =>
      readGroups(keys, (ids, [filter, window]: [F, Window]) => read(ids, filter, window)),
    );
    this.counts = new Loader(parentsAtOnce, (keys) => readGroups(keys, (ids, [filter]: [F]) => count(ids, filter)));
  }

  /** @throws Problem `invalid-cursor` when a cursor is of another parent's list */
  page<const K extends readonly KeyKind[]>(
    operation: GuardedContext,
    { parentId, filter, args }: { readonly parentId: string; readonly filter: F; readonly args: PageArgs },
    list: CursorList<K> & Pick<List<T, K>, "keyOf">,
  ): Promise<Page<T>> {
    return readPage(args, {
      ...list,
      read: async (window) => (await this.windows.load(operation, keyOf(parentId, [filter, window]))) ?? [],
      count: async () => (await this.counts.load(operation, keyOf(parentId, [filter]))) ?? 0,
    });
  }
}

const keyOf = (parentId: string, asked: readonly unknown[]) => JSON.stringify([JSON.stringify(asked), parentId]);

/** Reads what is asked of parents together where the same is asked of them. */
async function readGroups<V, A>(
  keys: readonly string[],
  read: (parentIds: readonly string[], asked: A) => Promise<ReadonlyMap<string, V>>,
): Promise<ReadonlyMap<string, V>> {
  const parsed = keys.map((key) => ({ key, parts: JSON.parse(key) as [string, string] }));
  const found = new Map<string, V>();
  for (const [asked, group] of Map.groupBy(parsed, ({ parts }) => parts[0])) {
    const values = await read(
      group.map(({ parts }) => parts[1]),
      JSON.parse(asked) as A,
    );
    for (const { key, parts } of group) {
      const value = values.get(parts[1]);
      if (value !== undefined) found.set(key, value);
    }
  }
  return found;
}
