import { randomFillSync } from "node:crypto";
import { notFound } from "../../problems/problem.js";

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

/** An id of version 7 (RFC 9562, 5.7): 48 bits of the present time in ms, then chance. Ids that are made later are greater, from one millisecond to the next. */
export function newId(): string {
  const bytes = randomFillSync(Buffer.alloc(16));
  bytes.writeUIntBE(Date.now(), 0, 6);
  bytes[6] = 0x70 | ((bytes[6] as number) & 0x0f);
  bytes[8] = 0x80 | ((bytes[8] as number) & 0x3f);
  return bytes.toString("hex").replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
}
