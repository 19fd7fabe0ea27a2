import { DATE_ORDERS, type DateOrder } from "../../units/units.js";
import { parseDateText, parseOpenDate } from "./date-text.js";
import { type Instant, parseClock, parseIsoInstant, splitDateAndTime } from "./time-text.js";

/**
 * clock: h:m:s, m:s or h:m; iso: date and time; date: the day alone; open-iso and open-date: with a date whose parts may stand in
 * several orders.
 */
export type TimeKind = "clock" | "iso" | "date" | "open-iso" | "open-date";

/** What a column of clock readings showed, which settles how those of two parts are meant. */
export interface ClocksSeen {
  twoParts: number;
  threeParts: number;
  fractions: number;
  /** Largest number before the first colon of a reading of two parts. */
  largestFirst: number;
}

/** The dates of a column in the order in which they came, where their parts may stand in several orders. */
export interface DatesSeen {
  readonly texts: readonly string[];
  /** In which orders a calendar has all of them. */
  readonly orders: readonly DateOrder[];
}

/** What is added to the seconds of a reading for each date that came before its own. */
export const SECONDS_A_DATE = 1e6;
const MAX_DATES = 1000;
const USUAL_INSTANT = /^(\d{4}-\d{2}-\d{2})[T ](\d{2}):(\d{2}):(\d{2})(?:[.,](\d+))?Z?$/;

/** Reads the cells of one column of times. Instants count from the first one, whole seconds apart, so that no digit is lost. */
export class TimeCells {
  readonly clocks: ClocksSeen = { twoParts: 0, threeParts: 0, fractions: 0, largestFirst: 0 };
  private origin: number | null = null;
  private lastDate = "";
  private lastDays: number | null = null;
  private readonly dateTexts = new Map<string, number>();
  private orders: readonly DateOrder[] = DATE_ORDERS;

  constructor(private readonly kind: TimeKind) {}

  /**
   * s; for a date, days. Of an open date, `SECONDS_A_DATE` for each other date before it, and the seconds of the day. NaN when the
   * text is no such time.
   */
  read(text: string): number {
    if (this.kind === "clock") return this.readClock(text);
    if (this.kind === "date") return parseDateText(text) ?? Number.NaN;
    if (this.kind === "open-date") return this.placeOf(text.trim()) * SECONDS_A_DATE;
    if (this.kind === "open-iso") {
      const split = splitDateAndTime(text);
      return split ? this.placeOf(split.date) * SECONDS_A_DATE + split.seconds + split.fraction : Number.NaN;
    }
    const instant = this.usualInstant(text) ?? parseIsoInstant(text);
    if (!instant) return Number.NaN;
    this.origin ??= instant.seconds;
    return instant.seconds - this.origin + instant.fraction;
  }

  /** An instant as most logs write it, on the day of the reading before: the day is then known. */
  private usualInstant(text: string): Instant | null {
    const match = USUAL_INSTANT.exec(text);
    if (!match) return null;
    const [, date = "", hour, minute, second, decimals] = match;
    if (date !== this.lastDate) {
      this.lastDate = date;
      this.lastDays = parseDateText(date);
    }
    if (this.lastDays === null || Number(hour) > 23 || Number(minute) > 59 || Number(second) > 59) return null;
    return {
      seconds: this.lastDays * 86_400 + Number(hour) * 3600 + Number(minute) * 60 + Number(second),
      fraction: decimals === undefined ? 0 : Number(`0.${decimals}`),
    };
  }

  get dates(): DatesSeen | null {
    return this.kind.startsWith("open") ? { texts: [...this.dateTexts.keys()], orders: this.orders } : null;
  }

  private placeOf(date: string): number {
    const known = this.dateTexts.get(date);
    if (known !== undefined) return known;
    const open = parseOpenDate(date);
    if (!open || this.dateTexts.size >= MAX_DATES) return Number.NaN;
    this.orders = this.orders.filter((order) => open[order] !== null);
    this.dateTexts.set(date, this.dateTexts.size);
    return this.dateTexts.size - 1;
  }

  private readClock(text: string): number {
    const clock = parseClock(text);
    if (!clock) return Number.NaN;
    if (clock.hasFraction) this.clocks.fractions++;
    if (clock.parts === 3) this.clocks.threeParts++;
    else {
      this.clocks.twoParts++;
      this.clocks.largestFirst = Math.max(this.clocks.largestFirst, clock.first);
    }
    return clock.seconds;
  }
}
