import { ArgsType, ObjectType } from "@nestjs/graphql";
import { CHEMISTRIES, type Chemistry } from "../../core/inputs/pack.js";
import { STEP_REASONS, type StepReason } from "../../core/plan/next-step.js";
import { CHECKLIST_STAGES, type ChecklistStage } from "../../core/plan/planned-test.js";
import {
  BooleanField,
  declareEnum,
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

declareEnum(CHECKLIST_STAGES, {
  name: "ChecklistStage",
  description: "When something of a checklist is done",
  meanings: {
    before: "Before the load",
    during: "From the start of the log to the end of the load",
    after: "When the load is off again",
  },
});

declareEnum(STEP_REASONS, {
  name: "LadderStepReason",
  description: "Why a ladder goes on with a current, or does not",
  meanings: {
    first: "There is no step yet",
    higher: "Every step passed",
    lower: "Every step failed",
    between: "The limit lies between a passing and a failing step",
    bracketed: "The limit is known as closely as benches can tell: the ladder is done",
    "label-reached": "A step passed at the maker's continuous current, beyond which no test goes",
    "no-lower": "A step failed at the lowest current there is",
  },
});

@ObjectType("PlanWindow", {
  description: "From lowest to highest, in the unit that its field names; null on a side that is open",
})
export class PlanWindowView {
  @NumberField({ description: "From", optional: true })
  minimum: number | null;

  @NumberField({ description: "To", optional: true })
  maximum: number | null;
}

@ObjectType("PlanAccuracy", {
  description: "The widest stated accuracy that the protocol takes: percent of the reading plus offset",
})
export class PlanAccuracyView {
  @NumberField({ description: "Part of the reading", unit: "%" })
  percent: number;

  @NumberField({ description: "Constant part, in V for a voltage and in A for a current" })
  offset: number;
}

@ObjectType("PlanDemands", {
  description: "What the protocol's rules ask of start, load and log; null where they ask nothing",
})
export class PlanDemandsView {
  @NumberField({ description: "Fewest samples a second", unit: "Hz", optional: true })
  rateHz: number | null;

  @NumberField({ description: "Longest gap between samples under load", unit: "s", optional: true })
  gapS: number | null;

  @StringField({ description: "Whether the temperature is required or advised", max: 20, optional: true })
  temperatureChannel: "required" | "advised" | null;

  @ObjectField(() => PlanWindowView, { description: "Rest after charging, min", optional: true })
  restMinutes: PlanWindowView | null;

  @ObjectField(() => PlanWindowView, {
    description: "Rest voltage of the whole pack before the load, V",
    optional: true,
  })
  restVolts: PlanWindowView | null;

  @ObjectField(() => PlanWindowView, { description: "State of charge, which is declared, %", optional: true })
  chargePercent: PlanWindowView | null;

  @ObjectField(() => PlanWindowView, { description: "Temperature of the pack at onset, degC", optional: true })
  packTemperatureC: PlanWindowView | null;

  @ObjectField(() => PlanWindowView, { description: "Temperature of the surroundings, degC", optional: true })
  ambientC: PlanWindowView | null;

  @NumberField({ description: "Longest rise of the load", unit: "s", optional: true })
  riseS: number | null;

  @NumberField({ description: "How far a set current may stray", unit: "%", optional: true })
  steadyPercent: number | null;

  @NumberField({ description: "How long the log goes on after the load", unit: "s", optional: true })
  recoveryS: number | null;

  @ObjectField(() => PlanAccuracyView, { description: "Stated accuracy of the voltage", optional: true })
  voltage: PlanAccuracyView | null;

  @ObjectField(() => PlanAccuracyView, { description: "Stated accuracy of the current", optional: true })
  current: PlanAccuracyView | null;

  @NumberField({ description: "Stated accuracy of the temperature", unit: "K", optional: true })
  temperatureK: number | null;
}

@ObjectType("PlanLoad", {
  description: "What to set a load to: one of current, resistance and power, which agree at 10 s",
})
export class PlanLoadView {
  @NumberField({ description: "Constant current to set it to", unit: "A" })
  currentA: number;

  @NumberField({ description: "Constant resistance to set it to", unit: "ohm" })
  ohm: number;

  @NumberField({ description: "Constant power to set it to", unit: "W" })
  powerW: number;

  @NumberField({ description: "How long it is drawn; to the cutoff, about", unit: "s" })
  seconds: number;
}

@ObjectType("PlanStandardLoad", {
  description: "A standard load near the planned one: a load set to its resistance leaves nothing to translate",
})
export class PlanStandardLoadView {
  @NumberField({ description: "Which one, by the current of its series", unit: "A" })
  loadA: number;

  @NumberField({ description: "Its resistance for this number of cells in series", unit: "ohm" })
  ohm: number;

  @NumberField({ description: "Current that it is expected to draw at 10 s", unit: "A" })
  currentA: number;

  @NumberField({ description: "That current over the planned one" })
  ratio: number;
}

@ObjectType("PlanNextStep", { description: "How a ladder goes on" })
export class PlanNextStepView {
  @NumberField({ description: "Current of the next step; null when there is none", unit: "A", optional: true })
  currentA: number | null;

  @EnumField(STEP_REASONS, { description: "What the steps so far say" })
  reason: StepReason;
}

@ObjectType("PlanStop", { description: "When the test ends, and what the cut-outs are set to" })
export class PlanStopView {
  @NumberField({
    description: "Cutoff voltage of the pack under load; null where the pulses end the test",
    unit: "V",
    optional: true,
  })
  cutoffVolts: number | null;

  @NumberField({ description: "The same for each cell", unit: "V", optional: true })
  cutoffVoltsPerCell: number | null;

  @NumberField({ description: "Temperature limit of the protocol; it ends the step of a ladder", unit: "degC" })
  temperatureLimitC: number;

  @NumberField({
    description: "Highest setting of the temperature cut-out; the maker's limit comes first",
    unit: "degC",
  })
  cutOutC: number;
}

@ObjectType("PlanExpectation", {
  description:
    "What load and pack are expected to go through, by a typical cell of the chemistry: magnitudes to prepare by",
})
export class PlanExpectationView {
  @NumberField({ description: "How long the load is on", unit: "s" })
  seconds: number;

  @NumberField({ description: "Charge delivered", unit: "mAh" })
  capacityMah: number;

  @NumberField({ description: "Highest power, for which the load is to be rated", unit: "W" })
  highestPowerW: number;

  @NumberField({ description: "Highest current, for which load and leads are to be rated", unit: "A" })
  highestCurrentA: number;

  @NumberField({ description: "Energy that becomes heat in the load", unit: "Wh" })
  loadHeatWh: number;

  @NumberField({ description: "Energy that becomes heat in the pack", unit: "Wh" })
  packHeatWh: number;

  @NumberField({ description: "By how much that would warm the pack if it lost none", unit: "K" })
  temperatureRiseK: number;

  @BooleanField({ description: "Whether the test goes on to the cutoff" })
  endsAtCutoff: boolean;
}

@ObjectType("ChecklistItem", { description: "One thing to do or to look at" })
export class ChecklistItemView {
  @EnumField(CHECKLIST_STAGES, { description: "At which stage of the test it is done" })
  stage: ChecklistStage;

  @StringField({ description: "What, as a sentence", max: 400 })
  text: string;
}

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
