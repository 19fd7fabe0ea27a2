import { ObjectType } from "@nestjs/graphql";
import {
  BASES,
  type Basis,
  BOUNDS,
  type Bound,
  CHANNELS,
  type Channel,
  OUTCOMES,
  type Outcome,
  SEVERITIES,
  type Severity,
  type SharedUncertainty,
  STOP_REASONS,
  type StopReason,
  VERDICTS,
  type Verdict,
} from "../../../core/model.js";
import {
  ALL_FIGURE_KEYS,
  DateTimeField,
  EnumField,
  IdField,
  IntField,
  ListField,
  NumberField,
  ObjectField,
  StringField,
} from "../../../platform/views/index.js";

@ObjectType("ProtocolReference", { description: "A version of a protocol" })
export class ProtocolReferenceView {
  @StringField({ description: "Short name of the protocol in addresses and queries", max: 64 })
  key: string;

  @IntField({ description: "Counted from 1; a published one never changes", min: 1, max: 1_000_000 })
  version: number;
}

@ObjectType("LogColumn", { description: "How one column of the log was read, and why" })
export class LogColumnView {
  @StringField({ description: "What the header row calls it, letter by letter", max: 1_000 })
  header: string;

  @EnumField(CHANNELS, { description: "What it was read as; null when it was left aside", optional: true })
  channel: Channel | null;

  @StringField({ description: "Unit of its numbers in the log", max: 20, optional: true })
  unit: string | null;

  @StringField({ description: "Why the column was taken for this channel", max: 200 })
  reason: string;
}

@ObjectType("Log", { description: "The bytes as uploaded, and how they were read" })
export class LogView {
  @StringField({ description: "SHA-256 of the bytes, hexadecimal", max: 64 })
  sha256: string;

  @NumberField({ description: "Size", unit: "bytes", min: 0 })
  bytes: number;

  @IntField({ description: "Rows below the header; null until it was read", min: 0, max: 100_000_000, optional: true })
  rows: number | null;

  @ListField(() => LogColumnView, { description: "Its columns; empty until it was read" })
  columns: LogColumnView[];

  @DateTimeField({
    description: "Until when its bytes are kept, since it was refused; null when for good",
    optional: true,
  })
  keptUntil: string | null;

  @DateTimeField({ description: "Since when its bytes are not kept any more, since it was refused", optional: true })
  removedAt: string | null;
}

@ObjectType("TraceSummary", { description: "The log after normalisation; times from the onset of load" })
export class TraceSummaryView {
  @IntField({ description: "How many rows of the log remain", min: 0, max: 100_000_000 })
  samples: number;

  @NumberField({ description: "Median of the rate", unit: "Hz" })
  rateHz: number;

  @NumberField({ description: "From onset to the end of the load", unit: "s" })
  durationS: number;

  @NumberField({ description: "When the voltage cutoff was reached; null when it was not", unit: "s", optional: true })
  cutoffS: number | null;

  @EnumField(STOP_REASONS, { description: "Why the run ended" })
  stop: StopReason;
}

@ObjectType("Adjustment", { description: "One change that normalisation made" })
export class AdjustmentView {
  @StringField({ description: "What sort of change it is, as one word that stays the same", max: 60 })
  kind: string;

  @StringField({ description: "What was changed", max: 500 })
  message: string;

  @NumberField({ description: "Before, in unit", optional: true })
  before: number | null;

  @NumberField({ description: "After, in unit", optional: true })
  after: number | null;

  @StringField({ description: "Symbol of the unit of its values; 1 for a pure number", max: 20 })
  unit: string;
}

@ObjectType("BudgetPart", { description: "One part of a figure's uncertainty" })
export class BudgetPartView {
  @StringField({ description: "What is not known exactly", max: 60 })
  source: string;

  @NumberField({ description: "Standard uncertainty that it causes, in the figure's unit" })
  uncertainty: number;
}

@ObjectType("SharedUncertainty", {
  description: "Parts of a translated figure's uncertainty, in unit; all but own are shared by all testers of a pack",
})
export class SharedUncertaintyView {
  @NumberField({ description: "What this run alone leaves open", min: 0 })
  own: number;

  @NumberField({ description: "A change of load that meets less resistance than assumed; signed" })
  kinetics: number;

  @NumberField({ description: "The resistances of the model; signed" })
  resistance: number;

  @NumberField({ description: "What the model leaves out", min: 0 })
  form: number;
}

@ObjectType("Figure", { description: "One derived metric" })
export class FigureView {
  @EnumField(ALL_FIGURE_KEYS, { description: "Which figure of the catalogue it is" })
  key: string;

  @NumberField({ description: "Value, in unit" })
  value: number;

  @StringField({ description: "Symbol of the unit of its values; 1 for a pure number", max: 20 })
  unit: string;

  @NumberField({ description: "Standard uncertainty u (JCGM 100), in unit; U = 2 u" })
  uncertainty: number;

  @EnumField(BASES, { description: "As logged, with zero or sense corrected, or translated to a standard load" })
  basis: Basis;

  @NumberField({ description: "The standard load, A; null under the run's own load", optional: true })
  load: number | null;

  @ObjectField(() => SharedUncertaintyView, {
    description: "What of the uncertainty testers share; null under the run's own load",
    optional: true,
  })
  shared: SharedUncertainty | null;

  @EnumField(BOUNDS, { description: "Whether it is only a bound" })
  bound: Bound;

  @ListField(() => BudgetPartView, { description: "What the uncertainty is made of" })
  budget: BudgetPartView[];
}

@ObjectType("KeyFigure", { description: "A figure under the run's own load, in short" })
export class KeyFigureView {
  @EnumField(ALL_FIGURE_KEYS, { description: "Which figure of the catalogue it is" })
  key: string;

  @NumberField({ description: "Value, in unit" })
  value: number;

  @StringField({ description: "Symbol of the unit of its values; 1 for a pure number", max: 20 })
  unit: string;

  @NumberField({ description: "Standard uncertainty u (JCGM 100), in unit; U = 2 u" })
  uncertainty: number;

  @EnumField(BOUNDS, { description: "Whether it is only a bound" })
  bound: Bound;
}

@ObjectType("Span", { description: "A stretch of the trace, from the onset of load" })
export class SpanView {
  @NumberField({ description: "Beginning, counted from the onset of load", unit: "s" })
  fromS: number;

  @NumberField({ description: "End, counted from the onset of load", unit: "s" })
  toS: number;
}

@ObjectType("Finding", { description: "The outcome of one conformance rule" })
export class FindingView {
  @IdField({ description: "Id of the rule, as the protocol names it" })
  rule: string;

  @EnumField(SEVERITIES, {
    description: "Whether a fail makes the run nonconforming, was corrected, or is a recommendation",
  })
  severity: Severity;

  @EnumField(OUTCOMES, { description: "Whether the rule is kept, and if not, whether it could be assessed" })
  outcome: Outcome;

  @NumberField({ description: "What was observed, in unit; null when it could not be assessed", optional: true })
  observed: number | null;

  @StringField({ description: "Limit, in unit", max: 200 })
  limit: string;

  @StringField({ description: "Unit; 1 for a count or ratio", max: 20 })
  unit: string;

  @StringField({ description: "What was seen, what is required, and what to change", max: 1_000 })
  message: string;

  @ObjectField(() => SpanView, { description: "Part of the trace that the rule looked at", optional: true })
  span: SpanView | null;
}

@ObjectType("Conformance", { description: "What the protocol's rules say of a run" })
export class ConformanceView {
  @EnumField(VERDICTS, { description: "What all findings together say" })
  verdict: Verdict;

  @ListField(() => FindingView, { description: "The outcome of every rule" })
  findings: FindingView[];
}
