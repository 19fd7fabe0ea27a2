import { ArgsType, ObjectType } from "@nestjs/graphql";
import { CONDITION_FACTS, type RunConditions } from "../../core/inputs/conditions.js";
import { REVIEW_STATES, type ReviewState, RUN_STATES, type RunState } from "../../core/lifecycle/run-lifecycle.js";
import { VERDICTS, type Verdict } from "../../core/model.js";
import { Node } from "../../platform/graphql/node.js";
import { connectionOf, PageArgs } from "../../platform/paging/page.js";
import {
  BooleanField,
  DateTimeField,
  DeclaredBy,
  EnumField,
  IdField,
  IntField,
  ListField,
  ObjectField,
  StringField,
} from "../../platform/views/index.js";
import { TesterView } from "../accounts/accounts.views.js";
import { BenchView } from "../benches/benches.views.js";
import { PackView } from "../packs/packs.views.js";
import { SpecimenView } from "../specimens/specimens.views.js";
import {
  AdjustmentView,
  ConformanceView,
  FigureView,
  KeyFigureView,
  LogView,
  ProtocolReferenceView,
  TraceSummaryView,
} from "./evaluation/evaluation.views.js";
import { LogErrorView } from "./evaluation/log-error.views.js";
import { QuestionView } from "./question/question.views.js";

/** What a run and a check have in common. */
@ObjectType({ isAbstract: true })
class EvaluatedFields {
  @EnumField(RUN_STATES, { description: "What the service has done with it" })
  state: RunState;

  @ObjectField(() => LogErrorView, { description: "Why the log could not be read", optional: true })
  error: LogErrorView | null;

  @ObjectField(() => ProtocolReferenceView, { description: "What it is judged by" })
  protocol: ProtocolReferenceView;

  @ObjectField(() => LogView, { description: "The file as uploaded, and what its columns were read as" })
  log: LogView;

  @ObjectField(() => TraceSummaryView, { description: "The trace; null until it was evaluated", optional: true })
  trace: TraceSummaryView | null;

  @ListField(() => AdjustmentView, { description: "What normalisation changed" })
  adjustments: AdjustmentView[];

  @ListField(() => FigureView, { description: "What the pack delivered" })
  figures: FigureView[];

  @ObjectField(() => ConformanceView, {
    description: "Whether it conforms; null until it was evaluated",
    optional: true,
  })
  conformance: ConformanceView | null;

  @IntField({
    description: "Version of the computation; null until it was evaluated",
    min: 1,
    max: 1_000_000,
    optional: true,
  })
  computationVersion: number | null;
}

@DeclaredBy(CONDITION_FACTS)
@ObjectType({ isAbstract: true })
export class RunFields extends (EvaluatedFields as new () => EvaluatedFields & Required<RunConditions>) {
  @IdField({ description: "Names the run in every address and query" })
  id: string;

  @EnumField(REVIEW_STATES, { description: "What people have decided" })
  review: ReviewState;

  @ObjectField(() => QuestionView, {
    description: "What its tester is asked and has not answered; null where nothing is asked",
    optional: true,
  })
  question: QuestionView | null;

  @EnumField(VERDICTS, { description: "What the rules say; null until it was evaluated", optional: true })
  verdict: Verdict | null;

  @ListField(() => KeyFigureView, { description: "The figures that tell most, under the run's own load" })
  keyFigures: KeyFigureView[];

  @StringField({ description: "Name of the log's file as it was uploaded; it decides nothing", max: 255 })
  fileName: string;

  @IntField({
    description: "Version of the protocol that it was uploaded under; `protocol` is what it is judged by now",
    min: 1,
    max: 1_000_000,
  })
  uploadedUnderVersion: number;

  @ObjectField(() => PackView, { description: "Which pack it is about" })
  pack: PackView;

  @ObjectField(() => SpecimenView, { description: "Which single one of that product was tested" })
  specimen: SpecimenView;

  @ObjectField(() => BenchView, { description: "Equipment that it was measured with" })
  bench: BenchView;

  @ObjectField(() => TesterView, { description: "Who uploaded it" })
  tester: TesterView;

  @DateTimeField({ description: "When the test began", optional: true })
  startedAt: string | null;

  @IntField({
    description: "Which discharge of the log it is; null where nothing was said",
    min: 1,
    max: 1_000,
    optional: true,
  })
  discharge: number | null;

  @DateTimeField({ description: "When it was uploaded" })
  uploadedAt: string;
}

@ObjectType("Run", {
  description: "One discharge of one specimen on one bench under one protocol version",
  implements: () => [Node],
})
export class RunView extends RunFields {}

@ObjectType("Check", { description: "What a run of this log would give; nothing of it is stored" })
export class CheckView extends EvaluatedFields {
  @IdField({ description: "Always null: nothing is stored", optional: true })
  id: null;

  @EnumField(REVIEW_STATES, { description: "Always null: nothing is stored", optional: true })
  review: null;
}

export const RunConnection = connectionOf(RunView, "Run");

@ArgsType()
export class RunsArgs extends PageArgs {
  @IdField({ description: "Only runs of this pack", optional: true })
  packId?: string | null;

  @IdField({ description: "Only runs of this specimen", optional: true })
  specimenId?: string | null;

  @StringField({ description: "Only runs of this tester, by handle or id", max: 64, optional: true })
  tester?: string | null;

  @StringField({ description: "Only runs under the protocol of this key", max: 64, optional: true })
  protocol?: string | null;

  @EnumField(VERDICTS, { description: "Only runs with this verdict", optional: true })
  verdict?: Verdict | null;

  @EnumField(REVIEW_STATES, {
    description: "Only runs in this review state, among those that you may see; accepted ones when nothing is said",
    optional: true,
  })
  review?: ReviewState | null;

  @EnumField(RUN_STATES, { description: "Only runs in this state, among those that you may see", optional: true })
  state?: RunState | null;

  @DateTimeField({ description: "Only runs whose test began then or later", optional: true })
  startedFrom?: string | null;

  @DateTimeField({ description: "Only runs whose test began before", optional: true })
  startedTo?: string | null;

  @DateTimeField({ description: "Only runs that were uploaded then or later", optional: true })
  uploadedFrom?: string | null;

  @DateTimeField({ description: "Only runs that were uploaded before", optional: true })
  uploadedTo?: string | null;

  @BooleanField({ description: "Only your own runs, whatever their review", optional: true, fromText: true })
  mine?: boolean | null;
}
