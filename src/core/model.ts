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
export const COMPUTATION_VERSION = 2;

export const CHEMISTRIES = ["lipo", "lihv", "liion", "lifepo4"] as const;
export type Chemistry = (typeof CHEMISTRIES)[number];

/** What a pack's label and scale say. */
export interface PackFacts {
  readonly chemistry: Chemistry;
  /** Cells in series, S. */
  readonly series: number;
  /** Strings in parallel, P. */
  readonly parallel: number;
  /** Rated capacity in mAh; taken as a current in A per hour it is 1 It (IEC 61960-3). */
  readonly ratedCapacityMah: number;
  /** Continuous C-rate on the label, 1/h. */
  readonly labelContinuousC: number | null;
  /** Burst C-rate on the label, 1/h. */
  readonly labelBurstC: number | null;
  /** Mass with leads and connector, g. */
  readonly massGrams: number | null;
}

export const LOAD_KINDS = ["throttle", "constant-current", "constant-resistance", "constant-power"] as const;
export type LoadKind = (typeof LOAD_KINDS)[number];

/** Stated accuracy of an instrument: within `percent` % of the reading plus `offset` in the channel's unit. */
export interface Accuracy {
  readonly percent: number;
  readonly offset: number;
}

export const SENSE_POINTS = ["pack", "lead"] as const;

/**
 * Where the voltage is sensed. `pack`: at the pack's own terminals. `lead`: past leads or a connector, whose
 * resistance is declared or follows from the gauge and the one-way length of the pair of leads.
 */
export interface Sense {
  readonly point: (typeof SENSE_POINTS)[number];
  /** Resistance of both conductors together, mohm. */
  readonly resistanceMilliohm?: number | null;
  /** Conductor size, American wire gauge (ASTM B258). */
  readonly gaugeAwg?: number | null;
  /** One-way length of the pair of leads, mm; current flows through twice this length. */
  readonly lengthMm?: number | null;
}

/** A tester's equipment. */
export interface BenchFacts {
  readonly load: { readonly kind: LoadKind };
  /** Offset in V. */
  readonly voltage: Accuracy;
  /** Offset in A. */
  readonly current: Accuracy;
  /** Offset in K; null when the bench logs no temperature. */
  readonly temperature: { readonly offset: number } | null;
  readonly sense: Sense;
}

/** What the tester declares about one run. */
export interface RunConditions {
  readonly ambientC: number | null;
  /** Rest between the end of charge and the onset of load, min. */
  readonly restMinutes: number | null;
  /** Age of the specimen in full cycles. */
  readonly cycles: number | null;
  /** Set current of a constant-current run, A. */
  readonly setpointA: number | null;
  /** State of charge at the start, %, of a run that does not start fully charged. */
  readonly stateOfChargePercent?: number | null;
}

export const CHANNELS = ["time", "voltage", "current", "temperature", "power", "charge", "energy", "cell"] as const;
export type Channel = (typeof CHANNELS)[number];

/** A tester's own word on which column is which: the header, or the header with the unit of its numbers. */
export type ColumnMap = Readonly<
  Partial<Record<Exclude<Channel, "cell">, string | { readonly name: string; readonly unit: string }>>
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
  /** Median of 1/dt, Hz. */
  readonly rateHz: number;
  /** From onset to the end of the load phase, s. */
  readonly durationS: number;
  /** Instant of the voltage cutoff, s; null when it was not reached. */
  readonly cutoffS: number | null;
  readonly stop: StopReason;
}

export const BASES = ["measured", "corrected", "translated"] as const;
/** measured: as logged; corrected: zero or sense corrected; translated: to the protocol's reference load. */
export type Basis = (typeof BASES)[number];

/** `lower`: the true value is at least this, because the run ended before its cutoff. */
export type Bound = "none" | "lower" | "upper";

/** One part of a figure's uncertainty: its source and the standard uncertainty it causes, in the figure's unit. */
export interface BudgetPart {
  readonly source: string;
  readonly uncertainty: number;
}

/** One derived metric. */
export interface Figure {
  readonly key: string;
  readonly value: number;
  readonly unit: string;
  /** Standard uncertainty u (JCGM 100), in `unit`. */
  readonly uncertainty: number;
  readonly basis: Basis;
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
