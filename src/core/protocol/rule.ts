import type { InputReadings } from "../figures/evaluation-input.js";
import type { BenchFacts, Figure, PackFacts, RunConditions, Span } from "../model.js";
import type { Counted } from "../trace/choose-rows.js";
import type { NormalisedRun } from "../trace/normalised-run.js";
import type { CellVolts, LoadDefinition, ProtocolDocument } from "./document.js";

/** Everything that a rule may look at. Rules change nothing of it. */
export interface RunUnderTest {
  readonly protocol: ProtocolDocument;
  readonly cell: CellVolts;
  readonly pack: PackFacts;
  readonly bench: BenchFacts;
  readonly conditions: RunConditions;
  readonly run: NormalisedRun;
  readonly reads: InputReadings;
  readonly figures: readonly Figure[];
}

/** What a rule saw. Numbers in the unit of its setting. */
export interface Observation {
  readonly observed: number;
  readonly passes: boolean;
  /** The limit that applied, in words and numbers. */
  readonly limit: string;
  readonly span?: Span;
  /** Where in the log, as the end of a sentence. */
  readonly place?: string;
  /** What to change next time, where it is another thing than the rule's advice. */
  readonly advice?: string;
}

/**
 * One conformance rule. Its limit comes from the protocol; `limit("name")` gives one of its numbers and throws when the
 * protocol has none of that name, which is a fault of the system and never of the run.
 */
export interface Rule {
  readonly id: string;
  /** What it looks at, as sentences. */
  readonly observes: string;
  /** Why that matters, as sentences. */
  readonly why: string;
  /** Unit of what it observes; what is counted, such as "rows", for a count, and "ratio" for a pure number. */
  readonly unit: string;
  /** The numbers that a protocol sets for it, each with its meaning and unit. */
  readonly limits: Readonly<Record<string, string>>;
  /** Loads under which it says anything; every load when left out. */
  readonly loads?: readonly LoadDefinition["kind"][];
  /** null: it cannot be assessed for this run. */
  readonly assess: (test: RunUnderTest, limit: (name: string) => number) => Observation | null;
  /** What was seen, as the start of a sentence, from the number with its unit. */
  readonly seen: (observed: string) => string;
  /** Why it could not be assessed, as a sentence; null for a rule that every run can be held against. */
  readonly missing: string | ((test: RunUnderTest) => string) | null;
  /** What to change next time. */
  readonly advice: string;
}

/** Numbers that differ by less than this, relatively, are equal for a limit: a logger's clock and digits are no better. */
const SAME = 1e-4;

/** The observation of a number against a lower and an upper limit. */
export function within(observed: number, limits: { minimum?: number; maximum?: number }, span?: Span): Observation {
  const { minimum, maximum } = limits;
  const slack = (limit: number) => SAME * Math.abs(limit);
  const passes =
    (minimum === undefined || observed >= minimum - slack(minimum)) &&
    (maximum === undefined || observed <= maximum + slack(maximum));
  const limit =
    minimum === undefined
      ? `<= ${round(maximum ?? Number.NaN)}`
      : maximum === undefined
        ? `>= ${round(minimum)}`
        : `${round(minimum)} to ${round(maximum)}`;
  return { observed, passes, limit, ...(span ? { span } : {}) };
}

/** A count of rows against a limit, with the place of the first of them. */
export function counted({ count, first }: Counted, maximum: number): Observation {
  const observation = within(count, { maximum });
  return first?.line === undefined ? observation : { ...observation, place: `first in line ${first.line} of the log` };
}

/** Four significant digits, without an exponent in the range of what benches read. */
export function round(value: number): string {
  return String(Number(value.toPrecision(4)));
}

/** Units that a sentence need not repeat: it says what it counts. */
const SAID_BY_SENTENCE: readonly string[] = ["rows", "samples", "channels", "cycles", "steps", "ratio"];

/** A number or limit with its unit, as it stands in a message. */
export const withUnit = (text: string, unit: string): string =>
  SAID_BY_SENTENCE.includes(unit) ? text : `${text} ${unit}`;

/** A figure under the run's own load. */
export function figureOf(test: RunUnderTest, key: string): Figure | null {
  return test.figures.find((figure) => figure.key === key && figure.basis !== "translated") ?? null;
}

export const figureValue = (test: RunUnderTest, key: string): number | null => figureOf(test, key)?.value ?? null;

/** The part of the trace that figures are read from. */
export const readingSpan = (test: RunUnderTest): Span => ({ fromS: 0, toS: test.run.stop.endS });
