/** A clock reading: two parts (m:s or h:m, which its text alone does not tell) or h:m:s. */
export interface Clock {
  readonly parts: 2 | 3;
  readonly first: number;
  readonly hasFraction: boolean;
  /** Two parts are taken as m:s. */
  readonly seconds: number;
}

const CLOCK = /^(\d{1,5}):(\d{1,2})(?::(\d{1,2}))?(?:[.,](\d+))?$/;

/** The clock reading h:m:s, m:s or h:m with an optional fraction; null when the text is none. */
export function parseClock(text: string): Clock | null {
  const match = CLOCK.exec(text.trim());
  if (!match) return null;
  const [, first = "", second = "", third, decimals] = match;
  const fraction = decimals === undefined ? 0 : Number(`0.${decimals}`);
  if (Number(second) > 59 || Number(third ?? 0) > 59) return null;
  const whole =
    third === undefined
      ? Number(first) * 60 + Number(second)
      : Number(first) * 3600 + Number(second) * 60 + Number(third);
  return {
    parts: third === undefined ? 2 : 3,
    first: Number(first),
    hasFraction: decimals !== undefined,
    seconds: whole + fraction,
  };
}

/** An instant as whole seconds since 1970 and the fraction of a second, so that no digit is lost. */
export interface Instant {
  readonly seconds: number;
  readonly fraction: number;
}

const DATE_AND_TIME =
  /^(\S{8,10}?)(?:[T ]\s*)(\d{1,2}):(\d{2})(?::(\d{2})(?:[.,](\d+))?)?\s*(Z|[+-]\d{2}(?::?\d{2})?)?$/i;

/**
 * The instant of an ISO 8601 date and time; without a zone it is taken as UTC (a log's differences do not depend
 * on it). The second 60 of RFC 3339, 5.6, is read. null when the text is none, or has a field that no calendar has.
 */
export function parseIsoInstant(text: string): Instant | null {
  const match = DATE_AND_TIME.exec(text.trim());
  if (!match) return null;
  const [, date = "", hour = "", minute = "", second = "0", decimals, zone = "Z"] = match;
  const days = parseDate(date);
  const offset = zoneSeconds(zone);
  if (days === null || offset === null) return null;
  if (Number(hour) > 23 || Number(minute) > 59 || Number(second) > 60) return null;
  return {
    seconds: days * 86_400 + Number(hour) * 3600 + Number(minute) * 60 + Number(second) - offset,
    fraction: decimals === undefined ? 0 : Number(`0.${decimals}`),
  };
}

const YEAR_FIRST = /^(\d{4})([-/])(\d{2})\2(\d{2})$/;
const DAY_FIRST = /^(\d{1,2})\.(\d{1,2})\.(\d{4})$/;

/**
 * Days since 1970 of a date: year first with dashes or slashes (ISO 8601), or day first with points (common practice,
 * no published source). With slashes and the year last, day and month cannot be told apart, and it is none.
 */
export function parseDate(text: string): number | null {
  const trimmed = text.trim();
  const [, year, , month, day] = YEAR_FIRST.exec(trimmed) ?? [];
  if (year !== undefined) return daysOf(Number(year), Number(month), Number(day));
  const [, dayFirst, secondMonth, lastYear] = DAY_FIRST.exec(trimmed) ?? [];
  return dayFirst === undefined ? null : daysOf(Number(lastYear), Number(secondMonth), Number(dayFirst));
}

function daysOf(year: number, month: number, day: number): number | null {
  const instant = new Date(Date.UTC(year, month - 1, day));
  return instant.getUTCMonth() === month - 1 && instant.getUTCDate() === day ? instant.getTime() / 86_400_000 : null;
}

function zoneSeconds(zone: string): number | null {
  if (zone.toUpperCase() === "Z") return 0;
  const digits = zone.slice(1).replace(":", "").padEnd(4, "0");
  const hours = Number(digits.slice(0, 2));
  const minutes = Number(digits.slice(2));
  if (hours > 23 || minutes > 59) return null;
  return (zone.startsWith("-") ? -1 : 1) * (hours * 3600 + minutes * 60);
}

export function isTime(text: string): boolean {
  return parseClock(text) !== null || parseIsoInstant(text) !== null;
}
