import { ArgsType, ObjectType } from "@nestjs/graphql";
import { CHEMISTRIES, type Chemistry } from "../../core/inputs/pack.js";
import {
  EnumField,
  IdField,
  IntField,
  ListField,
  NumberField,
  ObjectField,
  StringField,
  StringListField,
} from "../../platform/views/index.js";
import { ProtocolReferenceView } from "../runs/evaluation/evaluation.views.js";
import { PlanDemandsView } from "./plan-demands.views.js";
import {
  ChecklistItemView,
  PlanExpectationView,
  PlanLoadView,
  PlanNextStepView,
  PlanStandardLoadView,
  PlanStopView,
} from "./plan-parts.views.js";

@ObjectType("Plan", { description: "A test of one pack, planned" })
export class PlanView {
  @StringListField({ description: "Read these first", longest: 1_000 })
  cautions: readonly string[];

  @ObjectField(() => ProtocolReferenceView, { description: "The protocol that it follows" })
  protocol: ProtocolReferenceView;

  @IdField({ description: "The pack, where it is a registered one", optional: true })
  packId: string | null;

  @NumberField({
    description: "Continuous current on the maker's label; null when it states none",
    unit: "A",
    optional: true,
  })
  labelContinuousA: number | null;

  @NumberField({
    description: "Burst current on the maker's label; null when it states none",
    unit: "A",
    optional: true,
  })
  labelBurstA: number | null;

  @ListField(() => PlanLoadView, { description: "Loads in their order; none when a ladder is done" })
  loads: PlanLoadView[];

  @ListField(() => PlanStandardLoadView, { description: "Standard loads within reach of it; full load alone has any" })
  standardLoads: PlanStandardLoadView[];

  @ObjectField(() => PlanNextStepView, { description: "Of a ladder: why this load", optional: true })
  nextStep: PlanNextStepView | null;

  @ObjectField(() => PlanStopView, { description: "When it ends" })
  stop: PlanStopView;

  @ObjectField(() => PlanExpectationView, { description: "What to prepare for; null without a load", optional: true })
  expected: PlanExpectationView | null;

  @ObjectField(() => PlanDemandsView, { description: "What the protocol asks" })
  demands: PlanDemandsView;

  @ListField(() => ChecklistItemView, { description: "What to do, in its order" })
  checklist: ChecklistItemView[];
}

/** Which pack, said in one of three ways, and what the tester already wants of the load. */
@ArgsType()
export class PlanArgs {
  @StringField({ description: "Which test, by the protocol's short name", max: 64 })
  protocol: string;

  @IdField({ description: "A registered pack", optional: true })
  packId?: string | null;

  @IdField({ description: "A specimen whose ladder goes on; for current-ladder alone", optional: true })
  specimenId?: string | null;

  @EnumField(CHEMISTRIES, { description: "Chemistry of a pack that is not registered", optional: true })
  chemistry?: Chemistry | null;

  @IntField({ description: "Its cells in series", min: 1, max: 100, optional: true, fromText: true })
  series?: number | null;

  @NumberField({
    description: "Its rated capacity",
    unit: "mAh",
    min: 1,
    max: 10_000_000,
    optional: true,
    fromText: true,
  })
  ratedCapacityMah?: number | null;

  @NumberField({
    description: "The continuous C-rate on its label",
    unit: "C",
    above: 0,
    max: 10_000,
    optional: true,
    fromText: true,
  })
  labelContinuousC?: number | null;

  @NumberField({ description: "Its mass", unit: "g", min: 0.1, max: 10_000_000, optional: true, fromText: true })
  massGrams?: number | null;

  @NumberField({
    description: "The current to draw; one is proposed when it is left out",
    unit: "A",
    above: 0,
    max: 100_000,
    optional: true,
    fromText: true,
  })
  load?: number | null;
}
