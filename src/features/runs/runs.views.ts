import { ObjectType } from "@nestjs/graphql";
import { REVIEW_STATES, type ReviewState, RUN_STATES, type RunState } from "../../core/lifecycle/run-lifecycle.js";
import { connectionOf, listOf } from "../../platform/paging/page.js";
import { Decimal, Id, Instant, ListOf, Nested, OneOf, Text, Whole } from "../../platform/views/index.js";
import { TesterView } from "../accounts/accounts.views.js";
import { BenchView } from "../benches/benches.views.js";
import { PackView } from "../packs/packs.views.js";
import { SpecimenView } from "../specimens/specimens.views.js";
import {
  AdjustmentView,
  ConformanceView,
  FigureView,
  LogView,
  ProtocolReferenceView,
  TraceSummaryView,
} from "./evaluation.views.js";
import { RunFaultView } from "./fault.views.js";

/** What a run and a check have in common. */
@ObjectType({ isAbstract: true })
class EvaluatedFields {
  @OneOf(RUN_STATES, { description: "What the service has done with it" })
  state: RunState;

  @Nested(() => RunFaultView, { description: "Why the log could not be read", optional: true })
  error: RunFaultView | null;

  @Nested(() => ProtocolReferenceView, { description: "What it is judged by" })
  protocol: ProtocolReferenceView;

  @Nested(() => LogView, { description: "The log" })
  log: LogView;

  @Nested(() => TraceSummaryView, { description: "The trace; null until it was evaluated", optional: true })
  trace: TraceSummaryView | null;

  @ListOf(() => AdjustmentView, { description: "What normalisation changed" })
  adjustments: AdjustmentView[];

  @ListOf(() => FigureView, { description: "What the pack delivered" })
  figures: FigureView[];

  @Nested(() => ConformanceView, { description: "Whether it conforms; null until it was evaluated", optional: true })
  conformance: ConformanceView | null;

  @Text({ description: "Version of the computation; null until it was evaluated", max: 40, optional: true })
  computationVersion: string | null;
}

@ObjectType("Run", { description: "One discharge of one specimen on one bench under one protocol version" })
export class RunView extends EvaluatedFields {
  @Id({ description: "Id" })
  id: string;

  @OneOf(REVIEW_STATES, { description: "What people have decided" })
  review: ReviewState;

  @Whole({
    description: "Version of the protocol that it was uploaded under; `protocol` is what it is judged by now",
    min: 1,
    max: 1_000_000,
  })
  uploadedUnderVersion: number;

  @Nested(() => PackView, { description: "The pack" })
  pack: PackView;

  @Nested(() => SpecimenView, { description: "The specimen" })
  specimen: SpecimenView;

  @Nested(() => BenchView, { description: "The bench" })
  bench: BenchView;

  @Nested(() => TesterView, { description: "Who uploaded it" })
  tester: TesterView;

  @Instant({ description: "When the test began", optional: true })
  startedAt: string | null;

  @Decimal({ description: "Temperature of the surroundings", unit: "degC", optional: true })
  ambientC: number | null;

  @Decimal({ description: "Rest after the charge", unit: "min", optional: true })
  restMinutes: number | null;

  @Whole({ description: "Age of the specimen in full cycles", min: 0, max: 100_000, optional: true })
  cycles: number | null;

  @Decimal({ description: "Set current of a constant-current run", unit: "A", optional: true })
  setpointA: number | null;

  @Decimal({
    description: "State of charge at the start of a run that does not start fully charged",
    unit: "%",
    optional: true,
  })
  stateOfChargePercent: number | null;

  @Instant({ description: "When it was uploaded" })
  uploadedAt: string;
}

@ObjectType("Check", { description: "What a run of this log would give; nothing of it is stored" })
export class CheckView extends EvaluatedFields {
  @Id({ description: "Always null: nothing is stored", optional: true })
  id: null;

  @OneOf(REVIEW_STATES, { description: "Always null: nothing is stored", optional: true })
  review: null;
}

export const RunList = listOf(RunView, "Run");
export const RunConnection = connectionOf(RunView, "Run");
