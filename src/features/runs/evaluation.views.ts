import { ObjectType } from "@nestjs/graphql";
import {
  BASES,
  type Basis,
  type Bound,
  CHANNELS,
  type Channel,
  OUTCOMES,
  type Outcome,
  SEVERITIES,
  type Severity,
  STOP_REASONS,
  type StopReason,
  VERDICTS,
  type Verdict,
} from "../../core/model.js";
import { Decimal, ListOf, Nested, OneOf, Text, Whole } from "../../platform/views/index.js";

@ObjectType("ProtocolReference", { description: "A version of a protocol" })
export class ProtocolReferenceView {
  @Text({ description: "Key", max: 64 })
  key: string;

  @Whole({ description: "Version", min: 1, max: 1_000_000 })
  version: number;
}

@ObjectType("LogColumn", { description: "How one column of the log was read, and why" })
export class LogColumnView {
  @Text({ description: "Header in the log", max: 1_000 })
  header: string;

  @OneOf(CHANNELS, { description: "What it was read as; null when it was left aside", optional: true })
  channel: Channel | null;

  @Text({ description: "Unit of its numbers in the log", max: 20, optional: true })
  unit: string | null;

  @Text({ description: "Why", max: 200 })
  reason: string;
}

@ObjectType("Log", { description: "The bytes as uploaded, and how they were read" })
export class LogView {
  @Text({ description: "SHA-256 of the bytes, hexadecimal", max: 64 })
  sha256: string;

  @Decimal({ description: "Size", unit: "bytes", min: 0 })
  bytes: number;

  @Whole({ description: "Rows below the header; null until it was read", min: 0, max: 100_000_000, optional: true })
  rows: number | null;

  @ListOf(() => LogColumnView, { description: "Its columns; empty until it was read" })
  columns: LogColumnView[];
}

@ObjectType("TraceSummary", { description: "The log after normalisation; times from the onset of load" })
export class TraceSummaryView {
  @Whole({ description: "Samples", min: 0, max: 100_000_000 })
  samples: number;

  @Decimal({ description: "Median of the rate", unit: "Hz" })
  rateHz: number;

  @Decimal({ description: "From onset to the end of the load", unit: "s" })
  durationS: number;

  @Decimal({ description: "When the voltage cutoff was reached; null when it was not", unit: "s", optional: true })
  cutoffS: number | null;

  @OneOf(STOP_REASONS, { description: "Why the run ended" })
  stop: StopReason;
}

@ObjectType("Adjustment", { description: "One change that normalisation made" })
export class AdjustmentView {
  @Text({ description: "Kind", max: 60 })
  kind: string;

  @Text({ description: "What was changed", max: 500 })
  message: string;

  @Decimal({ description: "Before, in unit", optional: true })
  before: number | null;

  @Decimal({ description: "After, in unit", optional: true })
  after: number | null;

  @Text({ description: "Unit", max: 20 })
  unit: string;
}

@ObjectType("BudgetPart", { description: "One part of a figure's uncertainty" })
export class BudgetPartView {
  @Text({ description: "What is not known exactly", max: 60 })
  source: string;

  @Decimal({ description: "Standard uncertainty that it causes, in the figure's unit" })
  uncertainty: number;
}

@ObjectType("Figure", { description: "One derived metric" })
export class FigureView {
  @Text({ description: "Key", max: 60 })
  key: string;

  @Decimal({ description: "Value, in unit" })
  value: number;

  @Text({ description: "Unit", max: 20 })
  unit: string;

  @Decimal({ description: "Standard uncertainty u (JCGM 100), in unit; U = 2 u" })
  uncertainty: number;

  @OneOf(BASES, { description: "As logged, with zero or sense corrected, or translated to the reference load" })
  basis: Basis;

  @OneOf(["none", "lower", "upper"], { description: "Whether it is only a bound" })
  bound: Bound;

  @ListOf(() => BudgetPartView, { description: "What the uncertainty is made of" })
  budget: BudgetPartView[];
}

@ObjectType("Span", { description: "A stretch of the trace, from the onset of load" })
export class SpanView {
  @Decimal({ description: "From", unit: "s" })
  fromS: number;

  @Decimal({ description: "To", unit: "s" })
  toS: number;
}

@ObjectType("Finding", { description: "The outcome of one conformance rule" })
export class FindingView {
  @Text({ description: "Rule", max: 60 })
  rule: string;

  @OneOf(SEVERITIES, { description: "Whether a fail counts, was mended, or is a remark" })
  severity: Severity;

  @OneOf(OUTCOMES, { description: "Outcome" })
  outcome: Outcome;

  @Decimal({ description: "What was observed, in unit; null when it could not be assessed", optional: true })
  observed: number | null;

  @Text({ description: "Limit, in unit", max: 200 })
  limit: string;

  @Text({ description: "Unit; 1 for a count or ratio", max: 20 })
  unit: string;

  @Text({ description: "What was seen, what is required, and what to change", max: 1_000 })
  message: string;

  @Nested(() => SpanView, { description: "Where", optional: true })
  span: SpanView | null;
}

@ObjectType("Conformance", { description: "What the protocol's rules say of a run" })
export class ConformanceView {
  @OneOf(VERDICTS, { description: "What all findings together say" })
  verdict: Verdict;

  @ListOf(() => FindingView, { description: "The outcome of every rule" })
  findings: FindingView[];
}
