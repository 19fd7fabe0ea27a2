import type { Type } from "@nestjs/common";
import { ArgsType, Field, ObjectType } from "@nestjs/graphql";
import { ApiProperty, ApiSchema } from "@nestjs/swagger";
import { BooleanField, IntField, ListField, ObjectField, StringField } from "../views/index.js";
import { type CursorKey, type CursorList, decodeCursor, encodeCursor, type KeyKind } from "./cursor.js";

/** Which part of a list is wanted. */
@ArgsType()
export class PageArgs {
  @IntField({ description: "How many items, 25 when left out", min: 1, max: 100, optional: true, fromText: true })
  first?: number | null;

  @StringField({ description: "The endCursor of the page before", max: 400, optional: true })
  after?: string | null;
}

@ObjectType()
export class PageInfo {
  @StringField({ description: "Cursor of the last item", max: 400, optional: true })
  endCursor: string | null;

  @BooleanField({ description: "Whether more items follow" })
  hasNextPage: boolean;
}

/** A part of a list, with the cursor of each item. */
export interface Page<T> {
  readonly items: readonly T[];
  readonly cursors: readonly string[];
  readonly pageInfo: PageInfo;
}

const usualSize = 25;

/**
 * Reads one page. `read` is given how many rows to take, one more than the page holds, to see whether more follow, and
 * the key that they come after; `keyOf` gives the values by which the list is ordered.
 *
 * @throws Problem `invalid-cursor` when `after` is of another list, or of this list with other filters
 */
export async function readPage<T, const K extends readonly KeyKind[]>(
  list: CursorList<K>,
  { first, after }: PageArgs,
  read: (take: number, after: CursorKey<K> | null) => Promise<readonly T[]>,
  keyOf: (item: T) => CursorKey<K>,
): Promise<Page<T>> {
  const size = first ?? usualSize;
  const rows = await read(size + 1, after ? decodeCursor(list, after) : null);
  const items = rows.slice(0, size);
  const cursors = items.map((item) => encodeCursor(list, keyOf(item)));
  return { items, cursors, pageInfo: { endCursor: cursors.at(-1) ?? null, hasNextPage: rows.length > size } };
}

export function mapPage<T, U>({ items, cursors, pageInfo }: Page<T>, map: (item: T) => U): Page<U> {
  return { items: items.map(map), cursors, pageInfo };
}

/** The REST form of a page: `{items, pageInfo}`. */
export function toList<T>({ items, pageInfo }: Page<T>): { items: T[]; pageInfo: PageInfo } {
  return { items: [...items], pageInfo };
}

/** The GraphQL form of a page (GraphQL Cursor Connections). */
export function toConnection<T>({ items, cursors, pageInfo }: Page<T>): Connection<T> {
  return { edges: items.map((node, index) => ({ node, cursor: cursors[index] ?? "" })), pageInfo };
}

export interface Connection<T> {
  readonly edges: readonly { readonly node: T; readonly cursor: string }[];
  readonly pageInfo: PageInfo;
}

/** The class that describes the REST list of an output class. */
export function listOf<T extends object>(item: Type<T>, name: string): Type<{ items: T[]; pageInfo: PageInfo }> {
  @ApiSchema({ name: `${name}List` })
  class List {
    @ApiProperty({ type: () => item, isArray: true, description: "The items of this page" })
    items: T[];

    @ApiProperty({ type: () => PageInfo, description: "Where the page stands" })
    pageInfo: PageInfo;
  }
  return List;
}

/** The class that describes the GraphQL connection of an output class. */
export function connectionOf<T extends object>(item: Type<T>, name: string): Type<Connection<T>> {
  @ObjectType(`${name}Edge`)
  class Edge {
    @Field(() => item, { description: "The item" })
    node: T;

    @Field(() => String, { description: "The item's position, for `after`" })
    cursor: string;
  }

  @ObjectType(`${name}Connection`)
  class ConnectionType {
    @ListField(() => Edge, { description: "The items of this page with their cursors" })
    edges: Edge[];

    @ObjectField(() => PageInfo, { description: "Where the page stands" })
    pageInfo: PageInfo;
  }
  return ConnectionType;
}
