import { latin1Text } from "../../text/bytes.js";

const QUOTE = 0x22;
const BACKSLASH = 0x5c;
const COLON = 0x3a;
const COMMA = 0x2c;
const OPEN_LIST = 0x5b;
const OPEN_OBJECT = 0x7b;
const CLOSE_LIST = 0x5d;
const CLOSE_OBJECT = 0x7d;

/** No table that is read here is deeper than a few levels, or has more records, values or names than a log may have. */
const MAX_LEVELS = 16;
const MAX_LISTS_AND_OBJECTS = 800_000;
const MAX_VALUES = 4_000_000;
const MAX_NAMES = 10_000;

/** What a JSON text has too many of, and the position of the first byte that is too much. */
export interface JsonExcess {
  readonly of: string;
  readonly at: number;
}

/**
 * Whether parsing a JSON text could take far more memory than its bytes, from its structure alone; null when not. 32 MiB
 * of brackets cost a parser more than 1 GiB, and a parser cannot be stopped between two values.
 */
export function excessOf(bytes: Uint8Array): JsonExcess | null {
  let levels = 0;
  let opened = 0;
  let commas = 0;
  let textFrom = 0;
  let textTo = 0;
  const names = new Set<string>();
  for (let at = 0; at < bytes.length; at++) {
    switch (bytes[at]) {
      case QUOTE:
        textFrom = at + 1;
        at = closingQuote(bytes, textFrom);
        textTo = at;
        break;
      case COLON:
        names.add(latin1Text(bytes.subarray(textFrom, textTo)));
        if (names.size > MAX_NAMES) return { of: `${MAX_NAMES} names`, at };
        break;
      case COMMA:
        if (++commas > MAX_VALUES) return { of: `${MAX_VALUES} values`, at };
        break;
      case OPEN_LIST:
      case OPEN_OBJECT:
        if (++levels > MAX_LEVELS) return { of: `${MAX_LEVELS} levels`, at };
        if (++opened > MAX_LISTS_AND_OBJECTS) return { of: `${MAX_LISTS_AND_OBJECTS} records`, at };
        break;
      case CLOSE_LIST:
      case CLOSE_OBJECT:
        levels--;
    }
  }
  return null;
}

function closingQuote(bytes: Uint8Array, from: number): number {
  let at = from;
  while (at < bytes.length && bytes[at] !== QUOTE) at += bytes[at] === BACKSLASH ? 2 : 1;
  return at;
}
