import { DATE_ORDERS, type DateOrder } from "../../units/units.js";

const YEAR_FIRST = /^(\d{4})([-/.])(\d{1,2})\2(\d{1,2})\.?$/;
const YEAR_FIRST_COMPACT = /^(\d{4})(\d{2})(\d{2})$/;
const YEAR_FIRST_CJK = /^(\d{4})\s*年\s*(\d{1,2})\s*月\s*(\d{1,2})\s*日$/;
const DAY_FIRST = /^(\d{1,2})\.\s?(\d{1,2})\.\s?(\d{4})$/;
const NAMED_MONTH =
  /^(?:\p{L}{2,}\.?,?\s+)?(?:(\d{1,2})[-\s./]*(\p{L}{3,})\.?[-\s.,/]*(\d{4}|\d{2})|(\p{L}{3,})\.?\s+(\d{1,2}),?\s+(\d{4}))$/u;
const OPEN = /^(\d{1,4})([-/.])(\d{1,2})\2(\d{1,4})$/;

/** First letters of the months in English, German, French, Spanish, Italian, Dutch and Polish, without accents. */
const MONTHS: readonly RegExp[] = [
  /^(jan|ene|gen|sty)/,
  /^(feb|fev|lut)/,
  /^(mar|mrt|maa|mrz|maer)/,
  /^(apr|avr|abr|kwi)/,
  /^(may|mai|maj|mag|mei)/,
  /^(jun|juin|giu|cze)/,
  /^(jul|juil|lug|lip)/,
  /^(aug|aou|ago|sie)/,
  /^(sep|set|wrz)/,
  /^(oct|okt|ott|paz)/,
  /^(nov|lis)/,
  /^(dec|dez|dic|gru)/,
];

/**
 * Days since 1970 of a date whose order is known: year first (ISO 8601), day first with points and four digits of the year, or a month by
 * its name (common practice, no published source). With slashes or dashes and the year last, day and month cannot be told
 * apart: `parseOpenDate` reads those.
 */
export function parseDateText(text: string): number | null {
  const trimmed = text.trim();
  const first = YEAR_FIRST.exec(trimmed);
  if (first) return daysOf(Number(first[1]), Number(first[3]), Number(first[4]));
  const written = YEAR_FIRST_CJK.exec(trimmed);
  if (written) return daysOf(Number(written[1]), Number(written[2]), Number(written[3]));
  const dayFirst = DAY_FIRST.exec(trimmed);
  if (dayFirst) return daysOf(Number(dayFirst[3]), Number(dayFirst[2]), Number(dayFirst[1]));
  const named = NAMED_MONTH.exec(trimmed.normalize("NFKD").replace(/\p{Diacritic}/gu, ""));
  if (!named) return null;
  const [, day, month = "", year, monthFirst = "", secondDay, lastYear] = named;
  const at = MONTHS.findIndex((name) => name.test((month || monthFirst).toLowerCase()));
  return at < 0 ? null : daysOf(fullYear(Number(year ?? lastYear)), at + 1, Number(day ?? secondDay));
}

/** Days since 1970 of a date of eight digits; by itself it would be a number as well. */
export function parseCompactDate(text: string): number | null {
  const match = YEAR_FIRST_COMPACT.exec(text.trim());
  return match ? daysOf(Number(match[1]), Number(match[2]), Number(match[3])) : null;
}

/** The days that a date may be, by the order of its parts; null for an order in which no calendar has it. */
export type OpenDate = Readonly<Record<DateOrder, number | null>>;

/** A date whose parts may stand in several orders; null when it is none in any. */
export function parseOpenDate(text: string): OpenDate | null {
  const match = OPEN.exec(text.trim());
  if (!match) return null;
  const [, a = "", , b = "", c = ""] = match;
  const yearLast = c.length === 4 || c.length === 2;
  const yearFirst = a.length === 4 || (a.length === 2 && c.length <= 2);
  const open: OpenDate = {
    "d/m/y": yearLast && a.length <= 2 ? daysOf(fullYear(Number(c)), Number(b), Number(a)) : null,
    "m/d/y": yearLast && a.length <= 2 ? daysOf(fullYear(Number(c)), Number(a), Number(b)) : null,
    "y/m/d": yearFirst ? daysOf(fullYear(Number(a)), Number(b), Number(c)) : null,
  };
  return DATE_ORDERS.some((order) => open[order] !== null) ? open : null;
}

const fullYear = (year: number): number => (year < 100 ? 2000 + year : year);

function daysOf(year: number, month: number, day: number): number | null {
  const instant = new Date(Date.UTC(year, month - 1, day));
  return instant.getUTCMonth() === month - 1 && instant.getUTCDate() === day ? instant.getTime() / 86_400_000 : null;
}
