import { ArgsType, Field, ID, ObjectType } from "@nestjs/graphql";
import { ApiProperty } from "@nestjs/swagger";
import { IsString } from "class-validator";
import { FINDING_CAUSES, type FindingCause } from "../../core/history/evaluation-changes.js";
import { OUTCOMES, type Outcome, VERDICTS, type Verdict } from "../../core/model.js";
import { Decimal, Id, Instant, ListOf, Nested, OneOf, Text, Texts, YesNo } from "../../platform/views/index.js";
import {
  AdjustmentView,
  ConformanceView,
  FigureView,
  ProtocolReferenceView,
  TraceSummaryView,
} from "./evaluation.views.js";

@ObjectType("Evaluation", { description: "One result of a run's log under one version of protocol and computation" })
export class EvaluationView {
  @Id({ description: "Id" })
  id: string;

  @YesNo({ description: "It is what the run shows and what counts" })
  isCurrent: boolean;

  @Instant({ description: "When it was made" })
  createdAt: string;

  @Nested(() => ProtocolReferenceView, { description: "What it is judged by" })
  protocol: ProtocolReferenceView;

  @Text({ description: "Version of the computation", max: 40 })
  computationVersion: string;

  @Nested(() => TraceSummaryView, { description: "The trace" })
  trace: TraceSummaryView;

  @ListOf(() => AdjustmentView, { description: "What normalisation changed" })
  adjustments: AdjustmentView[];

  @ListOf(() => FigureView, { description: "What the pack delivered" })
  figures: FigureView[];

  @Nested(() => ConformanceView, { description: "Whether it conforms" })
  conformance: ConformanceView;
}

@ObjectType("RunEvaluations", { description: "Every evaluation of a run, the newest first" })
export class EvaluationsView {
  @ListOf(() => EvaluationView, { description: "Evaluations" })
  items: EvaluationView[];
}

@ObjectType("EvaluationCause", { description: "What differs between what made two evaluations" })
export class EvaluationCauseView {
  @YesNo({ description: "The versions of the computation differ" })
  computationDiffers: boolean;

  @Texts({ description: "Members of the protocol that differ, the rules apart" })
  protocolMembers: string[];

  @Texts({ description: "Rules whose setting differs" })
  rules: string[];
}

@ObjectType("VerdictChange", { description: "Another verdict" })
export class VerdictChangeView {
  @OneOf(VERDICTS, { description: "Before" })
  from: Verdict;

  @OneOf(VERDICTS, { description: "After" })
  to: Verdict;
}

@ObjectType("FigureChange", { description: "A figure that changed; null where it is absent" })
export class FigureChangeView {
  @Text({ description: "Key", max: 60 })
  key: string;

  @OneOf(["own", "translated"], { description: "Under the run's own load, or translated to the reference load" })
  side: "own" | "translated";

  @Text({ description: "Unit", max: 20 })
  unit: string;

  @Decimal({ description: "Before, in unit", optional: true })
  from: number | null;

  @Decimal({ description: "After, in unit", optional: true })
  to: number | null;

  @YesNo({ description: "They differ by more than U = 2 u; null where one is absent", optional: true })
  exceedsUncertainty: boolean | null;
}

@ObjectType("FindingChange", { description: "A finding that changed; null where the rule was not set" })
export class FindingChangeView {
  @Text({ description: "Rule", max: 60 })
  rule: string;

  @OneOf(OUTCOMES, { description: "Outcome before", optional: true })
  from: Outcome | null;

  @OneOf(OUTCOMES, { description: "Outcome after", optional: true })
  to: Outcome | null;

  @Decimal({ description: "Observed before, in the rule's unit", optional: true })
  observedFrom: number | null;

  @Decimal({ description: "Observed after, in the rule's unit", optional: true })
  observedTo: number | null;

  @Text({ description: "Limit before", max: 200, optional: true })
  limitFrom: string | null;

  @Text({ description: "Limit after", max: 200, optional: true })
  limitTo: string | null;

  @Texts({ description: `Why: ${FINDING_CAUSES.join(", ")}` })
  causes: FindingCause[];
}

@ObjectType("EvaluationChanges", { description: "What differs between two evaluations of a run, and why" })
export class EvaluationChangesView {
  @Id({ description: "The evaluation compared from" })
  from: string;

  @Id({ description: "The evaluation compared to" })
  to: string;

  @Nested(() => EvaluationCauseView, { description: "What made them differ; their log is the same" })
  madeBy: EvaluationCauseView;

  @Nested(() => VerdictChangeView, { description: "Another verdict; null when it is the same", optional: true })
  verdict: VerdictChangeView | null;

  @ListOf(() => FigureChangeView, { description: "Figures that changed" })
  figures: FigureChangeView[];

  @ListOf(() => FindingChangeView, { description: "Findings that changed" })
  findings: FindingChangeView[];

  @ListOf(() => AdjustmentView, { description: "Adjustments that are no more" })
  adjustmentsGone: AdjustmentView[];

  @ListOf(() => AdjustmentView, { description: "Adjustments that are new" })
  adjustmentsNew: AdjustmentView[];
}

@ArgsType()
export class EvaluationPairArgs {
  @Field(() => ID, { description: "Id of the evaluation to compare from" })
  @ApiProperty({ description: "Id of the evaluation to compare from" })
  @IsString({ message: "must be the id of an evaluation" })
  from: string;

  @Field(() => ID, { description: "Id of the evaluation to compare to" })
  @ApiProperty({ description: "Id of the evaluation to compare to" })
  @IsString({ message: "must be the id of an evaluation" })
  to: string;
}

/** As GraphQL asks; REST has the run in the path. */
@ArgsType()
export class RunEvaluationPairArgs extends EvaluationPairArgs {
  @Field(() => ID, { description: "The run" })
  @IsString({ message: "must be the id of a run" })
  runId: string;
}
