import { parseClock, parseDate, parseIsoInstant } from "./time-text.js";

/** clock: h:m:s, m:s or h:m; iso: date and time; date: the day alone. */
export type TimeKind = "clock" | "iso" | "date";

/** What a column of clock readings showed, which settles how those of two parts are meant. */
export interface ClocksSeen {
  twoParts: number;
  threeParts: number;
  fractions: number;
  /** Largest number before the first colon of a reading of two parts. */
  largestFirst: number;
}

/** Reads the cells of one column of times. Instants count from the first one, whole seconds apart, so that no digit is lost. */
export class TimeCells {
  readonly clocks: ClocksSeen = { twoParts: 0, threeParts: 0, fractions: 0, largestFirst: 0 };
  private origin: number | null = null;

  constructor(private readonly kind: TimeKind) {}

  /** s; for a date, days. NaN when the text is no such time. */
  read(text: string): number {
    if (this.kind === "clock") return this.readClock(text);
    if (this.kind === "date") return parseDate(text) ?? Number.NaN;
    const instant = parseIsoInstant(text);
    if (!instant) return Number.NaN;
    this.origin ??= instant.seconds;
    return instant.seconds - this.origin + instant.fraction;
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
