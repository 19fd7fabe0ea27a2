import type { Type } from "@nestjs/common";
import { ArgsType, Field, Int, ObjectType } from "@nestjs/graphql";
import { ApiProperty, ApiSchema } from "@nestjs/swagger";
import { invalidInput } from "../http/requests/input.pipe.js";
import { BooleanField, IntField, ListField, ObjectField, StringField } from "../views/index.js";
import { type CursorKey, type CursorList, decodeCursor, encodeCursor, type KeyKind } from "./cursor.js";

const size = { min: 1, max: 100, optional: true, fromText: true } as const;
const cursor = { max: 400, optional: true } as const;

/** Which part of a list is wanted: `first` after a cursor, or `last` before one. */
@ArgsType()
export class PageArgs {
  @IntField({ description: "How many items from the front, 25 when left out", ...size })
  first?: number | null;

  @StringField({ description: "Only items behind this cursor: the endCursor of the page before", ...cursor })
  after?: string | null;

  @IntField({ description: "How many items from the back, in place of first", ...size })
  last?: number | null;

  @StringField({ description: "Only items ahead of this cursor: the startCursor of the page behind", ...cursor })
  before?: string | null;
}

/** As the GraphQL Cursor Connections Specification has it; null cursors are those of a page without items. */
@ObjectType({ description: "Where a page stands in its list" })
export class PageInfo {
  @BooleanField({ description: "Whether items follow behind the last one of this page" })
  hasNextPage: boolean;

  @BooleanField({ description: "Whether items stand ahead of the first one of this page" })
  hasPreviousPage: boolean;

  @StringField({ description: "Cursor of the first item; null for a page without items", max: 400, optional: true })
  startCursor: string | null;

  @StringField({ description: "Cursor of the last item; null for a page without items", max: 400, optional: true })
  endCursor: string | null;
}

/** A part of a list, with the cursor of each item. */
export interface Page<T> {
  readonly items: readonly T[];
  readonly cursors: readonly string[];
  readonly pageInfo: PageInfo;
  /** Counts the whole list, where somebody asks for that. */
  readonly count: () => Promise<number>;
}

/** The rows that one page is read from, at one end of what lies between two positions. */
export interface Window {
  /** Keys of the items that the rows lie between; null for an open end. */
  readonly after: CursorKey | null;
  readonly before: CursorKey | null;
  /** Rows are taken from the back, the last one first. */
  readonly backward: boolean;
  readonly take: number;
}

/** A list with an order of its own. */
export interface List<T, K extends readonly KeyKind[]> extends CursorList<K> {
  readonly read: (window: Window) => Promise<readonly T[]>;
  readonly count: () => Promise<number>;
  /** The values by which the list is ordered. */
  readonly keyOf: (item: T) => CursorKey<K>;
}

const usualSize = 25;

/**
 * Reads one page, and one row more, to see whether more follow.
 *
 * @throws Problem `invalid-cursor` when a cursor is of another list, or of this list with other filters
 */
export async function readPage<T, const K extends readonly KeyKind[]>(
  args: PageArgs,
  { read, count, keyOf, ...list }: List<T, K>,
): Promise<Page<T>> {
  if (args.first != null && args.last != null) {
    throw invalidInput([{ pointer: "/last", message: "must be left out where first is sent" }]);
  }
  const positionOf = (end: "after" | "before") => {
    const sent = args[end];
    return sent == null ? null : decodeCursor(list, sent, end);
  };
  const backward = args.last != null || (args.before != null && args.first == null);
  const size = args.last ?? args.first ?? usualSize;
  const window = { after: positionOf("after"), before: positionOf("before"), backward, take: size + 1 };
  const rows = await read(window);
  const kept = rows.slice(0, size);
  const items = backward ? kept.reverse() : kept;
  const cursors = items.map((item) => encodeCursor(list, keyOf(item)));
  const more = rows.length > size;
  return {
    items,
    cursors,
    count,
    pageInfo: {
      hasNextPage: backward ? window.before !== null : more,
      hasPreviousPage: backward ? more : window.after !== null,
      startCursor: cursors.at(0) ?? null,
      endCursor: cursors.at(-1) ?? null,
    },
  };
}

export function mapPage<T, U>(page: Page<T>, map: (item: T) => U): Page<U> {
  return { ...page, items: page.items.map(map) };
}

/** The REST form of a page: `{items, pageInfo}`. */
export function toList<T>({ items, pageInfo }: Page<T>): { items: T[]; pageInfo: PageInfo } {
  return { items: [...items], pageInfo };
}

/** The GraphQL form of a page (GraphQL Cursor Connections Specification). */
export function toConnection<T>({ items, cursors, pageInfo, count }: Page<T>): Connection<T> {
  return { edges: items.map((node, index) => ({ node, cursor: cursors[index] ?? "" })), pageInfo, count };
}

export interface Connection<T> {
  readonly edges: readonly { readonly node: T; readonly cursor: string }[];
  readonly pageInfo: PageInfo;
  readonly count: () => Promise<number>;
}

/** The class that describes the REST list of an output class. */
export function listOf<T extends object>(item: Type<T>, name: string): Type<{ items: T[]; pageInfo: PageInfo }> {
  @ApiSchema({ name: `${name}List` })
  class List {
    @ApiProperty({ type: () => item, isArray: true, description: "The items of this page" })
    items: T[];

    @ApiProperty({ type: () => PageInfo, description: "Cursors of the page" })
    pageInfo: PageInfo;
  }
  return List;
}

/** The class that describes the GraphQL connection of an output class. */
export function connectionOf<T extends object>(item: Type<T>, name: string): Type<Connection<T>> {
  @ObjectType(`${name}Edge`, { description: `An item of a page of type ${name}, with its position` })
  class Edge {
    @Field(() => item, { description: `The ${name} at this position` })
    node: T;

    @Field(() => String, { description: "Its position in the list, for `after` and `before`" })
    cursor: string;
  }

  @ObjectType(`${name}Connection`, { description: `A page of a list of type ${name}` })
  class ConnectionType {
    @ListField(() => Edge, { description: "The items of this page with their cursors" })
    edges: Edge[];

    @ObjectField(() => PageInfo, { description: "Cursors of the page" })
    pageInfo: PageInfo;

    @Field(() => Int, {
      name: "totalCount",
      description: "Items of the whole list, whatever its pages; counted where it is asked for",
      middleware: [async ({ source }) => (source as Connection<T>).count()],
    })
    count: () => Promise<number>;
  }
  return ConnectionType;
}
