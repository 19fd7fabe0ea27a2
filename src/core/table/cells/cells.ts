import { latin1Text } from "../../text/bytes.js";
/** Largest power of ten that a double holds exactly. */
export const MAX_DECIMALS = 22;
export const POWERS_OF_TEN = Float64Array.from({ length: MAX_DECIMALS + 1 }, (_, power) => Number(`1e${power}`));
export const EXACT_MANTISSA = Number.MAX_SAFE_INTEGER + 1;

const MINUS = 0x2d;
const PLUS = 0x2b;
const ZERO = 0x30;
const NINE = 0x39;
const SPACE = 0x20;
const TAB = 0x09;
const QUOTE = 0x22;

/**
 * The number in `bytes[from, to)`, with surrounding blanks and double quotes allowed; NaN when it holds no number.
 * The result equals `Number(text)` to the last bit: a mantissa below 2^53 divided or multiplied by a power of
 * ten up to 10^22 is rounded once (IEEE 754), and everything else is left to `Number`.
 *
 * @param decimalMark byte of the decimal mark
 * @param origin an integer that is subtracted before the number is rounded to a double, so that the decimals of a large
 *   number survive
 */
export function parseNumber(bytes: Uint8Array, from: number, to: number, decimalMark: number, origin = 0): number {
  let at = from;
  let end = to;
  while (at < end && isPadding(bytes[at])) at++;
  while (end > at && isPadding(bytes[end - 1])) end--;
  if (at === end) return Number.NaN;
  const start = at;
  const negative = bytes[at] === MINUS;
  if (negative || bytes[at] === PLUS) at++;
  let mantissa = 0;
  let digits = 0;
  let decimals = 0;
  let seenMark = false;
  for (; at < end; at++) {
    const byte = bytes[at] as number;
    if (byte >= ZERO && byte <= NINE) {
      mantissa = mantissa * 10 + (byte - ZERO);
      digits++;
      if (seenMark) decimals++;
    } else if (byte === decimalMark && !seenMark) {
      seenMark = true;
    } else {
      return parseSlowly(bytes, start, end, decimalMark) - origin;
    }
  }
  if (digits === 0) return Number.NaN;
  if (mantissa >= EXACT_MANTISSA || decimals > MAX_DECIMALS || (negative && origin !== 0)) {
    return parseSlowly(bytes, start, end, decimalMark) - origin;
  }
  const power = POWERS_OF_TEN[decimals] as number;
  const shifted = origin === 0 ? mantissa : mantissa - origin * power;
  const value = decimals === 0 ? shifted : shifted / power;
  return negative ? -value : value;
}

const PLAIN_NUMBER = /^[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?$/;

function parseSlowly(bytes: Uint8Array, from: number, to: number, decimalMark: number): number {
  const mark = String.fromCharCode(decimalMark);
  const text = latin1Text(bytes.subarray(from, to));
  const plain = mark === "." ? text : text.includes(".") ? "" : text.replace(mark, ".");
  const value = PLAIN_NUMBER.test(plain) ? Number(plain) : Number.NaN;
  return Number.isFinite(value) ? value : Number.NaN;
}

function isPadding(byte: number | undefined): boolean {
  return byte === SPACE || byte === TAB || byte === QUOTE || byte === 0xa0;
}

/** Words for a reading beyond the range of its instrument. */
const BEYOND_RANGE =
  /^[-+]?\s*(o\.?l\.?|ovl|ovld|over|over[- ]?load(ed)?|over[- ]?range|over[- ]?flow|ovf|inf(inity)?|1\.#inf\d*)$/i;
/** Words for a cell in which nothing was measured. */
const MISSING = /^([-+]?nan|[-+]?1\.#(ind|qnan|snan)\d*|n\/?a|null|none|err(or)?|invalid|-[-\s]*|\?+|#.*)$/i;

/** Whether a text stands for "no reading": out of range, not available, or a dash. */
export function isMissingMark(text: string): boolean {
  return !Number.isFinite(markIn(text) ?? 0);
}

/** What a mark in place of a number stands for: a reading beyond the range, with its sign, infinite; no reading, NaN; null where the text is no mark. */
export function markIn(text: string): number | null {
  const trimmed = text.trim();
  if (BEYOND_RANGE.test(trimmed)) return trimmed.startsWith("-") ? Number.NEGATIVE_INFINITY : Number.POSITIVE_INFINITY;
  return MISSING.test(trimmed) ? Number.NaN : null;
}
