import { notFound } from "../problems/problem.js";

const uuidText = /^[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}$/i;

/** Ids are opaque to clients; whatever was never given out as one names nothing. */
export function isUuid(text: string): boolean {
  return uuidText.test(text);
}

/** The id of a path or argument; a text that cannot be one is answered as what does not exist. */
export function idOf(text: string, what: string): string {
  if (!isUuid(text)) throw notFound(what);
  return text.toLowerCase();
}
