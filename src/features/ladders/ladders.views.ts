import { ArgsType, ObjectType } from "@nestjs/graphql";
import type { ReviewState } from "../../core/lifecycle/run-lifecycle.js";
import { REVIEW_STATES } from "../../core/lifecycle/run-lifecycle.js";
import { BOUNDS, type Bound, STOP_REASONS, type StopReason } from "../../core/model.js";
import { connectionOf, listOf, PageArgs } from "../../platform/paging/page.js";
import { ScaleField, WidthField } from "../../platform/pictures/pictures.views.js";
import {
  ALL_FIGURE_KEYS,
  BooleanField,
  DateTimeField,
  EnumField,
  IdField,
  IntField,
  ListField,
  NumberField,
  ObjectField,
  StringField,
  StringListField,
} from "../../platform/views/index.js";
import { TesterView } from "../accounts/accounts.views.js";
import { PackView } from "../packs/packs.views.js";
import { FindingView, ProtocolReferenceView } from "../runs/evaluation/evaluation.views.js";
import { SpecimenView } from "../specimens/specimens.views.js";

@ObjectType("LadderStep", { description: "One constant-current run of a ladder" })
export class LadderStepView {
  @IdField({ description: "Id of the run that it is about" })
  runId: string;

  @EnumField(REVIEW_STATES, { description: "What people have decided on the run" })
  review: ReviewState;

  @NumberField({ description: "Declared current", unit: "A", optional: true })
  setpointA: number | null;

  @NumberField({ description: "Mean current under load", unit: "A" })
  currentA: number;

  @NumberField({ description: "Its standard uncertainty", unit: "A" })
  currentUncertaintyA: number;

  @NumberField({ description: "Charge delivered until the end of the step", unit: "mAh" })
  capacityMah: number;

  @NumberField({ description: "From onset to the end of the step", unit: "s" })
  runtimeS: number;

  @EnumField(STOP_REASONS, { description: "Why the step ended" })
  stop: StopReason;

  @NumberField({ description: "Temperature of the pack at onset", unit: "degC" })
  startC: number;

  @NumberField({ description: "Highest temperature under load", unit: "degC" })
  highestC: number;

  @NumberField({ description: "Declared temperature of the surroundings", unit: "degC" })
  ambientC: number;

  @DateTimeField({ description: "When it was run", optional: true })
  startedAt: string | null;

  @BooleanField({ description: "Whether it reached the cutoff with the pack below the temperature limit all the way" })
  passes: boolean;
}

@ObjectType("VerifiedCurrent", { description: "The highest passing step below every failing one" })
export class VerifiedCurrentView {
  @IdField({ description: "The run that it, or its bound, is the current of" })
  runId: string;

  @NumberField({
    description: "Its current; where it is a bound, the current of the step that gives the bound",
    unit: "A",
  })
  value: number;

  @NumberField({
    description: "Standard uncertainty of the current that the pack sustains, the bracket included",
    unit: "A",
  })
  uncertainty: number;

  @EnumField(BOUNDS, { description: "lower: no step fails; upper: no step passes below every failing one" })
  bound: Bound;

  @NumberField({ description: "Lowest failing step; null when none fails", unit: "A", optional: true })
  upperBracketA: number | null;
}

@ObjectType("LimitCurrent", { description: "The current at which temperature limit and cutoff would coincide" })
export class LimitCurrentView {
  @NumberField({ description: "Estimate from the lumped heat balance, between the brackets", unit: "A" })
  value: number;

  @NumberField({ description: "Standard uncertainty", unit: "A" })
  uncertainty: number;
}

@ObjectType("LadderFigure", { description: "A figure of a ladder as a whole" })
export class LadderFigureView {
  @EnumField(ALL_FIGURE_KEYS, { description: "Which figure of the catalogue it is" })
  key: string;

  @NumberField({ description: "Value, in unit" })
  value: number;

  @StringField({ description: "Symbol of the unit of its values; 1 for a pure number", max: 20 })
  unit: string;

  @NumberField({ description: "Standard uncertainty, in unit" })
  uncertainty: number;

  @EnumField(BOUNDS, { description: "Whether it is only a bound" })
  bound: Bound;
}

@ObjectType("Ladder", { description: "Constant-current runs of one specimen at several currents" })
export class LadderView {
  @ObjectField(() => SpecimenView, { description: "Whose steps they are" })
  specimen: SpecimenView;

  @ObjectField(() => PackView, { description: "What the specimen is one of" })
  pack: PackView;

  @ObjectField(() => TesterView, { description: "Whose specimen it is" })
  tester: TesterView;

  @ObjectField(() => ProtocolReferenceView, { description: "The protocol of its steps" })
  protocol: ProtocolReferenceView;

  @NumberField({ description: "Temperature that a passing step stays below", unit: "degC" })
  temperatureLimitC: number;

  @ListField(() => LadderStepView, {
    description:
      "Its conforming steps, in rising order of current; one that was withdrawn when its figures had been seen goes on counting unless a moderator accepts the cause",
  })
  steps: LadderStepView[];

  @ObjectField(() => VerifiedCurrentView, {
    description: "Verified continuous current; null when the steps cannot be taken together",
    optional: true,
  })
  verified: VerifiedCurrentView | null;

  @ObjectField(() => LimitCurrentView, {
    description: "Estimate of the limit; null without a bracket or when the heat balance does not fit",
    optional: true,
  })
  estimate: LimitCurrentView | null;

  @ListField(() => LadderFigureView, { description: "verified-current, verified-c, claim-share" })
  figures: LadderFigureView[];

  @ListField(() => FindingView, { description: "What speaks for and against taking the steps together" })
  findings: FindingView[];

  @StringListField({ description: "Before anyone plans a use by these figures", longest: 1_000 })
  cautions: readonly string[];
}

@ObjectType("LadderSummary", { description: "A ladder in short; its own address shows the steps" })
export class LadderSummaryView {
  @IdField({ description: "The specimen, by whose id the ladder is read" })
  specimenId: string;

  @ObjectField(() => TesterView, { description: "Whose specimen it is" })
  tester: TesterView;

  @IntField({ description: "Accepted steps", min: 0, max: 1_000_000 })
  steps: number;

  @IntField({
    description: "Steps that were withdrawn when they had been seen, and go on counting",
    min: 0,
    max: 1_000_000,
  })
  withdrawnSteps: number;

  @ObjectField(() => VerifiedCurrentView, {
    description: "Verified continuous current; null when the steps cannot be taken together",
    optional: true,
  })
  verified: VerifiedCurrentView | null;

  @ListField(() => LadderFigureView, { description: "verified-current, verified-c, claim-share" })
  figures: LadderFigureView[];
}

export const LadderSummaryList = listOf(LadderSummaryView, "LadderSummary");
export const LadderSummaryConnection = connectionOf(LadderSummaryView, "LadderSummary");

/** As GraphQL asks; REST has the pack in the path. */
@ArgsType()
export class LaddersOfPackArgs extends PageArgs {
  @IdField({ description: "Which pack it is about" })
  packId: string;
}

@ArgsType()
export class LadderArgs {
  @BooleanField({
    description:
      "Whether runs that are not accepted yet count too; for the specimen's owner, where they do unless it is false, and for those who review, where they do if it is true",
    optional: true,
    fromText: true,
  })
  all?: boolean | null;
}

/** As REST asks: it also draws. */
@ArgsType()
export class LadderQuery extends LadderArgs {
  @WidthField()
  width?: number | null;

  @ScaleField()
  scale?: number | null;
}

@ArgsType()
export class LadderOfSpecimenArgs extends LadderArgs {
  @IdField({ description: "Which specimen it is about, by its id" })
  specimenId: string;
}
