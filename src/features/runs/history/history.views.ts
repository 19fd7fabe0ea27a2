import { ArgsType, Field, ID, ObjectType } from "@nestjs/graphql";
import { ApiProperty } from "@nestjs/swagger";
import { IsString } from "class-validator";
import { FINDING_CAUSES, type FindingCause } from "../../../core/history/evaluation-changes.js";
import { OUTCOMES, type Outcome, VERDICTS, type Verdict } from "../../../core/model.js";
import {
  ALL_FIGURE_KEYS,
  BooleanField,
  DateTimeField,
  EnumField,
  EnumListField,
  IdField,
  IdListField,
  IntField,
  ListField,
  NumberField,
  ObjectField,
  StringField,
  StringListField,
} from "../../../platform/views/index.js";
import {
  AdjustmentView,
  ConformanceView,
  FigureView,
  ProtocolReferenceView,
  TraceSummaryView,
} from "../evaluation/evaluation.views.js";

@ObjectType("Evaluation", { description: "One result of a run's log under one version of protocol and computation" })
export class EvaluationView {
  @IdField({ description: "Names this result among all that the run has had" })
  id: string;

  @BooleanField({ description: "The run shows this evaluation, and standings use it" })
  isCurrent: boolean;

  @DateTimeField({ description: "When it was made" })
  createdAt: string;

  @ObjectField(() => ProtocolReferenceView, { description: "What it is judged by" })
  protocol: ProtocolReferenceView;

  @IntField({
    description: "Counts the releases of the computation that can give other numbers",
    min: 1,
    max: 1_000_000,
  })
  computationVersion: number;

  @ObjectField(() => TraceSummaryView, { description: "The log after normalisation, in short" })
  trace: TraceSummaryView;

  @ListField(() => AdjustmentView, { description: "What normalisation changed" })
  adjustments: AdjustmentView[];

  @ListField(() => FigureView, { description: "What the pack delivered" })
  figures: FigureView[];

  @ObjectField(() => ConformanceView, { description: "Whether it conforms" })
  conformance: ConformanceView;
}

@ObjectType("RunEvaluations", { description: "Every evaluation of a run, the newest first" })
export class EvaluationsView {
  @ListField(() => EvaluationView, { description: "The newest first" })
  items: EvaluationView[];
}

@ObjectType("EvaluationCause", { description: "What differs between what made two evaluations" })
export class EvaluationCauseView {
  @BooleanField({ description: "The versions of the computation differ" })
  computationDiffers: boolean;

  @StringListField({ description: "Members of the protocol that differ, the rules apart" })
  protocolMembers: string[];

  @IdListField({ description: "Ids of the rules whose setting differs" })
  rules: string[];
}

@ObjectType("VerdictChange", { description: "Another verdict" })
export class VerdictChangeView {
  @EnumField(VERDICTS, { description: "Verdict of the earlier evaluation" })
  from: Verdict;

  @EnumField(VERDICTS, { description: "Verdict of the later evaluation" })
  to: Verdict;
}

@ObjectType("FigureChange", { description: "A figure that changed; null where it is absent" })
export class FigureChangeView {
  @EnumField(ALL_FIGURE_KEYS, { description: "Which figure of the catalogue it is" })
  key: string;

  @NumberField({ description: "The standard load, A; null under the run's own load", optional: true })
  load: number | null;

  @StringField({ description: "Symbol of the unit of its values; 1 for a pure number", max: 20 })
  unit: string;

  @NumberField({ description: "Before, in unit", optional: true })
  from: number | null;

  @NumberField({ description: "After, in unit", optional: true })
  to: number | null;

  @BooleanField({ description: "They differ by more than U = 2 u; null where one is absent", optional: true })
  exceedsUncertainty: boolean | null;
}

@ObjectType("FindingChange", { description: "A finding that changed; null where the rule was not set" })
export class FindingChangeView {
  @IdField({ description: "Id of the rule, as the protocol names it" })
  rule: string;

  @EnumField(OUTCOMES, { description: "Outcome before", optional: true })
  from: Outcome | null;

  @EnumField(OUTCOMES, { description: "Outcome after", optional: true })
  to: Outcome | null;

  @NumberField({ description: "Observed before, in the rule's unit", optional: true })
  observedFrom: number | null;

  @NumberField({ description: "Observed after, in the rule's unit", optional: true })
  observedTo: number | null;

  @StringField({ description: "Limit in the earlier evaluation, with its unit", max: 200, optional: true })
  limitFrom: string | null;

  @StringField({ description: "Limit in the later evaluation, with its unit", max: 200, optional: true })
  limitTo: string | null;

  @EnumListField(FINDING_CAUSES, { description: "Why it changed" })
  causes: FindingCause[];
}

@ObjectType("EvaluationChanges", { description: "What differs between two evaluations of a run, and why" })
export class EvaluationChangesView {
  @IdField({ description: "The evaluation compared from" })
  from: string;

  @IdField({ description: "The evaluation compared to" })
  to: string;

  @ObjectField(() => EvaluationCauseView, { description: "What made them differ; their log is the same" })
  madeBy: EvaluationCauseView;

  @ObjectField(() => VerdictChangeView, { description: "Another verdict; null when it is the same", optional: true })
  verdict: VerdictChangeView | null;

  @ListField(() => FigureChangeView, { description: "Figures that changed" })
  figures: FigureChangeView[];

  @ListField(() => FindingChangeView, { description: "Findings that changed" })
  findings: FindingChangeView[];

  @ListField(() => AdjustmentView, { description: "Adjustments that are no more" })
  adjustmentsGone: AdjustmentView[];

  @ListField(() => AdjustmentView, { description: "Adjustments that are new" })
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
  @Field(() => ID, { description: "Id of the run that it is about" })
  @IsString({ message: "must be the id of a run" })
  runId: string;
}
