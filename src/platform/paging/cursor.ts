import { Problem } from "../problems/problem.js";

/** A position in a list: the values it is ordered by. Text and finite numbers, in the list's own order of keys. */
export type CursorKey = readonly (string | number)[];

export function encodeCursor(key: CursorKey): string {
  return Buffer.from(JSON.stringify(key)).toString("base64url");
}

/** Reads a cursor that must hold the given kinds of keys; whatever else it is is the client's mistake. */
export function decodeCursor(cursor: string, kinds: readonly ("uuid" | "number" | "text")[]): (string | number)[] {
  const key = parse(cursor);
  if (!Array.isArray(key) || key.length !== kinds.length || !kinds.every((kind, index) => isOfKind(key[index], kind))) {
    throw new Problem(
      "invalid-cursor",
      "Send `after` exactly as `endCursor` gave it, with the same list and filters.",
      {
        errors: [{ pointer: "/after", message: "is not a cursor of this list" }],
      },
    );
  }
  return key as (string | number)[];
}

function parse(cursor: string): unknown {
  if (!/^[\w-]{1,400}$/.test(cursor)) return null;
  try {
    return JSON.parse(Buffer.from(cursor, "base64url").toString("utf8"));
  } catch (error) {
    if (error instanceof SyntaxError) return null;
    throw error;
  }
}

function isOfKind(value: unknown, kind: "uuid" | "number" | "text"): boolean {
  if (kind === "number") return typeof value === "number" && Number.isFinite(value);
  if (typeof value !== "string" || value.includes("\0")) return false;
  return kind === "text" || /^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$/.test(value);
}
