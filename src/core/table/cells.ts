const POWERS_OF_TEN = Float64Array.from({ length: 23 }, (_, power) => Number(`1e${power}`));
const EXACT_MANTISSA = 2 ** 53;

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
 */
export function parseNumber(bytes: Uint8Array, from: number, to: number, decimalMark: number): number {
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
      return parseSlowly(bytes, start, end, decimalMark);
    }
  }
  if (digits === 0) return Number.NaN;
  if (mantissa >= EXACT_MANTISSA || decimals > 22) return parseSlowly(bytes, start, end, decimalMark);
  const value = decimals === 0 ? mantissa : mantissa / (POWERS_OF_TEN[decimals] as number);
  return negative ? -value : value;
}

const PLAIN_NUMBER = /^[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?$/;

function parseSlowly(bytes: Uint8Array, from: number, to: number, decimalMark: number): number {
  const mark = String.fromCharCode(decimalMark);
  const text = Buffer.from(bytes.buffer, bytes.byteOffset + from, to - from).toString("latin1");
  const plain = mark === "." ? text : text.includes(".") ? "" : text.replace(mark, ".");
  const value = PLAIN_NUMBER.test(plain) ? Number(plain) : Number.NaN;
  return Number.isFinite(value) ? value : Number.NaN;
}

function isPadding(byte: number | undefined): boolean {
  return byte === SPACE || byte === TAB || byte === QUOTE || byte === 0xa0;
}

const CLOCK = /^(?:(\d+):)?(\d{1,2}):(\d{1,2}(?:[.,]\d+)?)$/;

/** Seconds of a clock reading h:m:s or m:s with an optional fraction; NaN when the text is none. */
export function parseClock(text: string): number {
  const match = CLOCK.exec(text.trim());
  if (!match) return Number.NaN;
  const [, hours = "0", minutes = "", seconds = ""] = match;
  if (Number(minutes) >= 60) return Number.NaN;
  const secondsValue = Number(seconds.replace(",", "."));
  return secondsValue >= 60 ? Number.NaN : Number(hours) * 3600 + Number(minutes) * 60 + secondsValue;
}

const ISO = /^(\d{4})-(\d{2})-(\d{2})[T ](\d{2}):(\d{2})(?::(\d{2})([.,]\d+)?)?\s*(Z|[+-]\d{2}:?\d{2})?$/i;

/**
 * Seconds since 1970 of an ISO 8601 date and time; without a zone it is taken as UTC (a log's differences do not
 * depend on it). NaN when the text is none.
 */
export function parseIsoInstant(text: string): number {
  const match = ISO.exec(text.trim());
  if (!match) return Number.NaN;
  const [, year, month, day, hour, minute, second = "0", fraction = "", zone = "Z"] = match;
  const whole = Date.UTC(Number(year), Number(month) - 1, Number(day), Number(hour), Number(minute), Number(second));
  const fractionSeconds = fraction === "" ? 0 : Number(`0.${fraction.slice(1)}`);
  return whole / 1000 + fractionSeconds - zoneSeconds(zone);
}

function zoneSeconds(zone: string): number {
  if (zone.toUpperCase() === "Z") return 0;
  const digits = zone.slice(1).replace(":", "");
  const seconds = Number(digits.slice(0, 2)) * 3600 + Number(digits.slice(2)) * 60;
  return zone.startsWith("-") ? -seconds : seconds;
}
