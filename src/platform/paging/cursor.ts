import { createHash } from "node:crypto";
import canonicalize from "canonicalize";
import { Problem } from "../problems/problem.js";

/** What a list can be ordered by. */
export type KeyKind = "uuid" | "number" | "text";

/** A position in a list: the values it is ordered by. Text and finite numbers, in the list's own order of keys. */
export type CursorKey<K extends readonly KeyKind[] = readonly KeyKind[]> = {
  readonly [I in keyof K]: K[I] extends "number" ? number : K[I] extends "uuid" | "text" ? string : string | number;
};

/** A list and its order. A cursor belongs to the list and to what narrowed it when the cursor was given out. */
export interface CursorList<K extends readonly KeyKind[] = readonly KeyKind[]> {
  readonly name: string;
  /** What the list is ordered by. */
  readonly keys: K;
  /** What narrows the list: whose it is, and its filters. What is null or left out narrows nothing. */
  readonly filters?: Readonly<Record<string, string | number | boolean | null | undefined>>;
}

/** Characters of the hash that binds a cursor to its list: 66 bits, so that no two lists meet by chance. */
const BINDING_LENGTH = 11;

export function encodeCursor<const K extends readonly KeyKind[]>(list: CursorList<K>, key: CursorKey<K>): string {
  return Buffer.from(JSON.stringify([bindingOf(list), ...key])).toString("base64url");
}

/** Reads a cursor that must be of this list; whatever else it is is the client's mistake. */
export function decodeCursor<const K extends readonly KeyKind[]>(
  list: CursorList<K>,
  cursor: string,
  argument: "after" | "before" = "after",
): CursorKey<K> {
  const [binding, ...key] = parse(cursor);
  const { keys } = list;
  const fits = key.length === keys.length && keys.every((kind, index) => isOfKind(key[index], kind));
  if (fits && binding === bindingOf(list)) return key as unknown as CursorKey<K>;
  throw foreignCursor(argument);
}

/** A cursor that is none of the list that it came with. */
export function foreignCursor(argument: "after" | "before"): Problem {
  const given = argument === "after" ? "endCursor" : "startCursor";
  const detail = `Send \`${argument}\` exactly as \`${given}\` gave it, with the same list and filters.`;
  return new Problem("invalid-cursor", detail, {
    errors: [{ pointer: `/${argument}`, message: "is not a cursor of this list" }],
  });
}

function bindingOf({ name, filters = {} }: CursorList): string {
  const narrowing = Object.fromEntries(Object.entries(filters).filter(([, value]) => value != null));
  const text = canonicalize([name, narrowing]) ?? "";
  return createHash("sha256").update(text).digest("base64url").slice(0, BINDING_LENGTH);
}

function parse(cursor: string): readonly unknown[] {
  if (!/^[\w-]{1,400}$/.test(cursor)) return [];
  try {
    const read: unknown = JSON.parse(Buffer.from(cursor, "base64url").toString("utf8"));
    return Array.isArray(read) ? read : [];
  } catch (error) {
    if (error instanceof SyntaxError) return [];
    throw error;
  }
}

function isOfKind(value: unknown, kind: KeyKind): boolean {
  if (kind === "number") return typeof value === "number" && Number.isFinite(value);
  if (typeof value !== "string" || value.includes("\0")) return false;
  return kind === "text" || /^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$/.test(value);
}
