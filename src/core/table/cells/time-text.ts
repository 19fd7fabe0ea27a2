import { parseCompactDate, parseDateText, parseOpenDate } from "./date-text.js";

/** A clock reading: two parts (m:s or h:m, which its text alone does not tell) or h:m:s. */
export interface Clock {
  readonly parts: 2 | 3;
  readonly first: number;
  readonly hasFraction: boolean;
  /** Two parts are taken as m:s, but as h:m with a half of the day. */
  readonly seconds: number;
  /** It says which half of the day it is of. */
  readonly hasHalf: boolean;
}

const CLOCK = /^(\d{1,5}):(\d{1,2})(?::(\d{1,2}))?(?:[.,](\d+)|:(\d{3}))?\s*([ap]\.?\s?m\.?|[上下]午)?$/i;
const HALF_BEFORE = /^([上下]午)\s*(.*)$/;
const HALF_DAY_S = 43_200;

/** The clock reading h:m:s, m:s or h:m with an optional fraction, with AM or PM or without; null when the text is none. */
export function parseClock(text: string): Clock | null {
  const match = CLOCK.exec(text.trim().replace(HALF_BEFORE, "$2$1"));
  if (!match) return null;
  const [, first = "", second = "", third, afterMark, afterColon, half] = match;
  if (afterColon !== undefined && third === undefined) return null;
  const decimals = afterMark ?? afterColon;
  if (Number(second) > 59 || Number(third ?? 0) > 59) return null;
  const fraction = decimals === undefined ? 0 : Number(`0.${decimals}`);
  const clock = { first: Number(first), hasFraction: decimals !== undefined, hasHalf: half !== undefined };
  if (half === undefined) {
    const whole =
      third === undefined
        ? clock.first * 60 + Number(second)
        : clock.first * 3600 + Number(second) * 60 + Number(third);
    return { ...clock, parts: third === undefined ? 2 : 3, seconds: whole + fraction };
  }
  if (clock.first < 1 || clock.first > 12) return null;
  const isAfternoon = /^(p|下)/i.test(half);
  const seconds = (clock.first % 12) * 3600 + Number(second) * 60 + Number(third ?? 0) + fraction;
  return { ...clock, parts: 3, seconds: seconds + (isAfternoon ? HALF_DAY_S : 0) };
}

/** An instant as whole seconds since 1970 and the fraction of a second, so that no digit is lost. */
export interface Instant {
  readonly seconds: number;
  readonly fraction: number;
}

const DATE_AND_TIME =
  /^(.*?\d)(?:T|,?\s+(?:at\s+|um\s+)?|_|\s*-\s+)(\d{1,2}:\d{2}(?::\d{2}(?:[.,]\d+|:\d{3})?)?\s*(?:[ap]\.?\s?m\.?)?)\s*(Z|UTC|GMT|[+-]\d{2}(?::?\d{2})?)?$/i;

const WEEKDAY_FIRST = /^\p{L}{2,4}\.? (\p{L}{3,4})\.? +(\d{1,2}) ([\d:.]+) (\d{4})$/u;
const WITHOUT_MARKS = /^(\d{8})[T ]?(\d{2})(\d{2})(\d{2})([.,]\d+)?(Z|[+-]\d{2}:?\d{2})?$/;

/** ISO 8601 without marks ("20260502T091200"), and the year behind the time as of the C library ("Sat May 2 09:12:00 2026"), in the usual order. */
const reordered = (text: string): string =>
  text.replace(WEEKDAY_FIRST, "$2 $1 $4 $3").replace(WITHOUT_MARKS, "$1 $2:$3:$4$5$6");

/** A date and a time of day in one text. */
export interface DateAndClock {
  readonly date: string;
  readonly clock: Clock;
  /** Whole seconds of the clock and its zone. */
  readonly seconds: number;
  readonly fraction: number;
}

/** The date, whatever it says, and the time of day that stand in one text; null when there are not both. */
export function splitDateAndTime(text: string): DateAndClock | null {
  const match = DATE_AND_TIME.exec(reordered(text.trim()));
  if (!match) return null;
  const [, date = "", time = "", zone = "Z"] = match;
  const isLeap = /:60(?:[.,]\d+)?\s*$/.test(time);
  const clock = parseClock(isLeap ? time.replace(/:60/, ":59") : time);
  const offset = zoneSeconds(zone);
  if (!clock || offset === null || (clock.first > 23 && clock.parts === 3)) return null;
  // A time of day of two parts is h:m beside a date.
  const parts = time.split(":").length;
  const seconds = parts === 2 && !clock.hasHalf ? clock.seconds * 60 : clock.seconds;
  if (seconds >= 86_400 || (parts === 2 && clock.hasFraction)) return null;
  const whole = Math.floor(seconds);
  const decimals = /[.,](\d+)/.exec(time)?.[1];
  const fraction = decimals === undefined ? seconds - whole : Number(`0.${decimals}`);
  return { date, clock, seconds: whole + (isLeap ? 1 : 0) - offset, fraction };
}

/**
 * The instant of an ISO 8601 date and time, or of another unmistakable date with a time of day; without a zone it is taken as UTC
 * (a log's differences do not depend on it). The second 60 of RFC 3339, 5.6, is read. null when the text is none, or has a field
 * that no calendar has.
 */
export function parseIsoInstant(text: string): Instant | null {
  const split = splitDateAndTime(text);
  const days = split && (parseDateText(split.date) ?? parseCompactDate(split.date));
  return split && days !== null ? { seconds: days * 86_400 + split.seconds, fraction: split.fraction } : null;
}

/** Days since 1970 of a date whose parts can be told apart, or that no order of its parts makes another; null when it is none. */
export function parseDate(text: string): number | null {
  return parseDateText(text.trim());
}

/** Whether a text is a date and time, however the parts of its date are ordered. */
export function isInstant(text: string): boolean {
  const date = splitDateAndTime(text)?.date;
  if (date === undefined) return false;
  return parseDateText(date) !== null || parseCompactDate(date) !== null || parseOpenDate(date) !== null;
}

/** Whether a text is a date, however its parts are ordered. */
export const isDate = (text: string): boolean => parseDateText(text.trim()) !== null || parseOpenDate(text) !== null;

function zoneSeconds(zone: string): number | null {
  if (/^(z|utc|gmt)$/i.test(zone)) return 0;
  const digits = zone.slice(1).replace(":", "").padEnd(4, "0");
  const hours = Number(digits.slice(0, 2));
  const minutes = Number(digits.slice(2));
  if (hours > 23 || minutes > 59) return null;
  return (zone.startsWith("-") ? -1 : 1) * (hours * 3600 + minutes * 60);
}

export function isTime(text: string): boolean {
  return parseClock(text) !== null || isInstant(text);
}
