import { ArgsType, ObjectType } from "@nestjs/graphql";
import type { ReviewState } from "../../core/lifecycle/run-lifecycle.js";
import { REVIEW_STATES } from "../../core/lifecycle/run-lifecycle.js";
import { type Bound, STOP_REASONS, type StopReason } from "../../core/model.js";
import { Decimal, Id, Instant, ListOf, Nested, OneOf, Text, Texts, YesNo } from "../../platform/views/index.js";
import { TesterView } from "../accounts/accounts.views.js";
import { PackView } from "../packs/packs.views.js";
import { FindingView, ProtocolReferenceView } from "../runs/evaluation.views.js";
import { SpecimenView } from "../specimens/specimens.views.js";

const BOUNDS = ["none", "lower", "upper"] as const;

@ObjectType("LadderStep", { description: "One constant-current run of a ladder" })
export class LadderStepView {
  @Id({ description: "The run" })
  runId: string;

  @OneOf(REVIEW_STATES, { description: "What people have decided on the run" })
  review: ReviewState;

  @Decimal({ description: "Declared current", unit: "A", optional: true })
  setpointA: number | null;

  @Decimal({ description: "Mean current under load", unit: "A" })
  currentA: number;

  @Decimal({ description: "Its standard uncertainty", unit: "A" })
  currentUncertaintyA: number;

  @Decimal({ description: "Charge delivered until the end of the step", unit: "mAh" })
  capacityMah: number;

  @Decimal({ description: "From onset to the end of the step", unit: "s" })
  runtimeS: number;

  @OneOf(STOP_REASONS, { description: "Why the step ended" })
  stop: StopReason;

  @Decimal({ description: "Temperature of the pack at onset", unit: "degC" })
  startC: number;

  @Decimal({ description: "Highest temperature under load", unit: "degC" })
  highestC: number;

  @Decimal({ description: "Declared temperature of the surroundings", unit: "degC" })
  ambientC: number;

  @Instant({ description: "When it was run", optional: true })
  startedAt: string | null;

  @YesNo({ description: "Whether it reached the cutoff with the pack below the temperature limit all the way" })
  passes: boolean;
}

@ObjectType("VerifiedCurrent", { description: "The highest passing step below every failing one" })
export class VerifiedCurrentView {
  @Id({ description: "The run that it, or its bound, is the current of" })
  runId: string;

  @Decimal({ description: "Its current; where it is a bound, the current of the step that gives the bound", unit: "A" })
  value: number;

  @Decimal({
    description: "Standard uncertainty of the current that the pack sustains, the bracket included",
    unit: "A",
  })
  uncertainty: number;

  @OneOf(BOUNDS, { description: "lower: no step fails; upper: no step passes below every failing one" })
  bound: Bound;

  @Decimal({ description: "Lowest failing step; null when none fails", unit: "A", optional: true })
  upperBracketA: number | null;
}

@ObjectType("LimitCurrent", { description: "The current at which temperature limit and cutoff would coincide" })
export class LimitCurrentView {
  @Decimal({ description: "Estimate from the lumped heat balance, between the brackets", unit: "A" })
  value: number;

  @Decimal({ description: "Standard uncertainty", unit: "A" })
  uncertainty: number;
}

@ObjectType("LadderFigure", { description: "A figure of a ladder as a whole" })
export class LadderFigureView {
  @Text({ description: "Key", max: 60 })
  key: string;

  @Decimal({ description: "Value, in unit" })
  value: number;

  @Text({ description: "Unit", max: 20 })
  unit: string;

  @Decimal({ description: "Standard uncertainty, in unit" })
  uncertainty: number;

  @OneOf(BOUNDS, { description: "Whether it is only a bound" })
  bound: Bound;
}

@ObjectType("Ladder", { description: "Constant-current runs of one specimen at several currents" })
export class LadderView {
  @Nested(() => SpecimenView, { description: "The specimen" })
  specimen: SpecimenView;

  @Nested(() => PackView, { description: "Its pack" })
  pack: PackView;

  @Nested(() => TesterView, { description: "Whose specimen it is" })
  tester: TesterView;

  @Nested(() => ProtocolReferenceView, { description: "The protocol of its steps" })
  protocol: ProtocolReferenceView;

  @Decimal({ description: "Temperature that a passing step stays below", unit: "degC" })
  temperatureLimitC: number;

  @ListOf(() => LadderStepView, { description: "Its conforming steps, in rising order of current" })
  steps: LadderStepView[];

  @Nested(() => VerifiedCurrentView, {
    description: "Verified continuous current; null when the steps cannot be taken together",
    optional: true,
  })
  verified: VerifiedCurrentView | null;

  @Nested(() => LimitCurrentView, {
    description: "Estimate of the limit; null without a bracket or when the heat balance does not fit",
    optional: true,
  })
  estimate: LimitCurrentView | null;

  @ListOf(() => LadderFigureView, { description: "verified-current, verified-c, claim-share" })
  figures: LadderFigureView[];

  @ListOf(() => FindingView, { description: "What speaks for and against taking the steps together" })
  findings: FindingView[];

  @Texts({ description: "Before anyone plans a use by these figures", longest: 1_000 })
  cautions: readonly string[];
}

@ArgsType()
export class LadderArgs {
  @YesNo({
    description: "Whether runs that are not accepted count too; for the specimen's owner and those who review",
    optional: true,
    fromText: true,
  })
  all?: boolean | null;
}

@ArgsType()
export class LadderOfSpecimenArgs extends LadderArgs {
  @Id({ description: "The specimen" })
  specimenId: string;
}
