const LF = 0x0a;
const CR = 0x0d;
const QUOTE = 0x22;
const SPACE = 0x20;
const TAB = 0x09;

/** Longest field in quotes that may hold line breaks; a quote that is not closed within it is text. */
const QUOTED_BYTES_LIMIT = 4096;
const MORE_NEEDED = -2;
const NOT_CLOSED = -1;

/** One record of a delimited text: its bytes, where the next one begins, and the line breaks inside its quoted fields. */
export interface TextRecord {
  readonly end: number;
  readonly next: number;
  readonly breaks: number;
}

/**
 * The record that begins at `from`: up to LF, CRLF or a lone CR, whichever comes first outside of a quoted field
 * (RFC 4180, 2). null when the bytes end before the record does.
 *
 * @param final no more bytes will follow
 */
export function recordAt(bytes: Uint8Array, from: number, final: boolean): TextRecord | null {
  let atFieldStart = true;
  let breaks = 0;
  for (let at = from; at < bytes.length; at++) {
    const byte = bytes[at] as number;
    if (byte === LF) return { end: at, next: at + 1, breaks };
    if (byte === CR) {
      if (at + 1 === bytes.length && !final) return null;
      return { end: at, next: bytes[at + 1] === LF ? at + 2 : at + 1, breaks };
    }
    if (byte === QUOTE && atFieldStart) {
      const close = closingQuote(bytes, at, final);
      if (close === MORE_NEEDED) return null;
      if (close > at) {
        breaks += countBreaks(bytes, at, close);
        at = close;
      }
    }
    atFieldStart = isDelimiter(byte) || (byte === SPACE && atFieldStart);
  }
  return final && from < bytes.length ? { end: bytes.length, next: bytes.length, breaks } : null;
}

/** Line breaks in `bytes[from, to)`, CRLF counting as one. */
export function countBreaks(bytes: Uint8Array, from: number, to: number): number {
  let breaks = 0;
  for (let at = from; at < to; at++) {
    if (bytes[at] === LF || (bytes[at] === CR && bytes[at + 1] !== LF)) breaks++;
  }
  return breaks;
}

/** Where the quote at `from` is closed: by a quote that is not doubled and stands before a delimiter or line end. */
function closingQuote(bytes: Uint8Array, from: number, final: boolean): number {
  const limit = from + QUOTED_BYTES_LIMIT;
  const to = Math.min(bytes.length, limit);
  for (let at = from + 1; at < to; at++) {
    if (bytes[at] !== QUOTE) continue;
    if (at + 1 === bytes.length) return final ? at : MORE_NEEDED;
    const after = bytes[at + 1] as number;
    if (after === QUOTE) at++;
    else return isDelimiter(after) || after === LF || after === CR || after === SPACE ? at : NOT_CLOSED;
  }
  return final || bytes.length >= limit ? NOT_CLOSED : MORE_NEEDED;
}

function isDelimiter(byte: number): boolean {
  return byte === 0x2c || byte === 0x3b || byte === TAB || byte === 0x7c;
}
