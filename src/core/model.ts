/**
 * The words of the trade as types. Everything in `core/` speaks in these.
 *
 * - pack: a marketed battery pack; specimen: one physical pack in one tester's hands
 * - bench: a tester's load and instruments, with their stated accuracy and where voltage is sensed
 * - run: one discharge of one specimen on one bench under one protocol version
 * - log: the bytes as uploaded; trace: the log after normalisation
 * - adjustment: one change that normalisation made, with its numbers before and after
 * - mark: an instant or window at which a protocol reads the trace
 * - figure: one derived metric with its standard uncertainty
 * - finding: the outcome of one conformance rule; verdict: what all findings together say
 */

/** Version of the computation. Raise it with every change that can alter a number or an outcome. */
export const COMPUTATION_VERSION = 9;

export { type Accuracy, type BenchFacts, LOAD_KINDS, type LoadKind, type Sense } from "./inputs/bench.js";
export type { RunConditions } from "./inputs/conditions.js";
export { CHEMISTRIES, type Chemistry, type PackFacts } from "./inputs/pack.js";

export const CHANNELS = ["time", "voltage", "current", "temperature", "power", "charge", "energy", "cell"] as const;
export type Channel = (typeof CHANNELS)[number];

/** One column as a column map names it: by its header or by its number, from 1 on; with what its numbers are. */
export interface ColumnWish {
  readonly name?: string;
  readonly column?: number;
  /** Unit of the numbers; that of the header when left out. */
  readonly unit?: string;
  /** What each number is multiplied by to be in the unit. */
  readonly factor?: number;
  /** Of a current: which of its numbers are a discharge. */
  readonly sign?: "discharge-positive" | "discharge-negative";
}

/** A time that is not logged: rows stand so far apart. */
export interface RowInterval {
  readonly interval: number;
  /** s when left out. */
  readonly unit?: string;
}

/** A tester's own word on which column is which: the header, or more of it; null for a channel that no column is. */
export type ColumnMap = Readonly<
  Partial<Record<Exclude<Channel, "cell" | "time">, string | ColumnWish | null>> & {
    time?: string | ColumnWish | RowInterval | null;
  }
>;

/** A column map that its tester keeps for every log with exactly this header row. */
export interface SavedColumnMap {
  readonly label: string;
  readonly header: readonly string[];
  readonly columns: ColumnMap;
}

/** How one column of the log was read, and why. */
export interface ColumnReading {
  readonly header: string;
  /** null: the column was left aside. */
  readonly channel: Channel | null;
  /** Unit of the numbers in the log, as a unit symbol of `units/`. */
  readonly unit: string | null;
  readonly reason: string;
}

/** One change that normalisation made. Message and numbers are in `unit`. */
export interface Adjustment {
  readonly kind: string;
  readonly message: string;
  readonly before: number | null;
  readonly after: number | null;
  readonly unit: string;
}

export const STOP_REASONS = ["cutoff", "temperature-limit", "log-end", "load-lost", "operator"] as const;
export type StopReason = (typeof STOP_REASONS)[number];

/** The numbers that describe a trace as a whole. Times are seconds from onset. */
export interface TraceSummary {
  readonly samples: number;
  /** Median of 1/dt; where rows repeat readings, new readings per second, Hz. */
  readonly rateHz: number;
  /** From onset to the end of the load phase, s. */
  readonly durationS: number;
  /** Instant of the voltage cutoff, s; null when it was not reached. */
  readonly cutoffS: number | null;
  readonly stop: StopReason;
}

export const BASES = ["measured", "corrected", "translated"] as const;
/** measured: as logged; corrected: zero or sense corrected; translated: to a standard load. */
export type Basis = (typeof BASES)[number];

export const BOUNDS = ["none", "lower", "upper"] as const;
/** `lower`: the true value is at least this, because the run ended before its cutoff. */
export type Bound = (typeof BOUNDS)[number];

/** Whether what counts is taken under the runs' own loads or translated to a standard load. */
export const LOAD_BASES = ["own", "translated"] as const;

/** One part of a figure's uncertainty: its source and the standard uncertainty it causes, in the figure's unit. */
export interface BudgetPart {
  readonly source: string;
  readonly uncertainty: number;
}

/**
 * The parts of a translated figure's uncertainty, in the figure's unit: u^2 = own^2 + kinetics^2 + resistance^2 + form^2. All testers of a pack
 * share the last three, so an average adds them as signed numbers.
 */
export interface SharedUncertainty {
  /** What this run alone leaves open; independent of other testers. */
  readonly own: number;
  /** By how much the figure changes when a change of load meets one standard uncertainty less resistance than assumed; signed. */
  readonly kinetics: number;
  /** What the resistances leave open, with the sign of `kinetics`: testers on both sides of a load err against each other. */
  readonly resistance: number;
  /** What the model leaves out and what was carried on past the log; not negative. */
  readonly form: number;
}

/** One derived metric. A run has one of each key and basis; of a translated one, one for each standard load within reach. */
export interface Figure {
  readonly key: string;
  readonly value: number;
  readonly unit: string;
  /** Standard uncertainty u (JCGM 100), in `unit`. */
  readonly uncertainty: number;
  readonly basis: Basis;
  /** The standard load that it was translated to, A; null under the run's own load. */
  readonly load: number | null;
  /** null under the run's own load, where testers share nothing. */
  readonly shared: SharedUncertainty | null;
  readonly bound: Bound;
  readonly budget: readonly BudgetPart[];
}

export const SEVERITIES = ["required", "corrected", "advised"] as const;
export type Severity = (typeof SEVERITIES)[number];

export const OUTCOMES = ["pass", "fail", "not-assessable"] as const;
export type Outcome = (typeof OUTCOMES)[number];

/** A stretch of the trace, s from onset. */
export interface Span {
  readonly fromS: number;
  readonly toS: number;
}

/** The outcome of one conformance rule. */
export interface Finding {
  readonly rule: string;
  readonly severity: Severity;
  readonly outcome: Outcome;
  /** What was seen, in `unit`; null when it could not be assessed. */
  readonly observed: number | null;
  /** The limit in words and numbers, such as ">= 5". */
  readonly limit: string;
  readonly unit: string;
  /** What was seen, what is required, and what to change next time. */
  readonly message: string;
  readonly span: Span | null;
}

export const VERDICTS = ["conforming", "conforming-adjusted", "nonconforming"] as const;
export type Verdict = (typeof VERDICTS)[number];

/**
 * A run's samples after normalisation, in rising time. All arrays have the same length.
 * Time is seconds from onset (negative during the rest before it), V at the pack's terminals,
 * I with discharge positive, temperature in degC.
 */
export interface Trace {
  readonly time: Float64Array;
  readonly voltage: Float64Array;
  readonly current: Float64Array;
  readonly temperature: Float64Array | null;
}

/** Everything that one log, its metadata and one protocol version give. */
export interface Evaluation {
  readonly computationVersion: number;
  readonly protocol: { readonly key: string; readonly version: number };
  readonly log: { readonly bytes: number; readonly rows: number; readonly columns: readonly ColumnReading[] };
  readonly trace: TraceSummary;
  readonly adjustments: readonly Adjustment[];
  readonly figures: readonly Figure[];
  readonly findings: readonly Finding[];
  readonly verdict: Verdict;
}
