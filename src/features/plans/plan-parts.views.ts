import { ObjectType } from "@nestjs/graphql";
import { STEP_REASONS, type StepReason } from "../../core/plan/next-step.js";
import { CHECKLIST_STAGES, type ChecklistStage } from "../../core/plan/planned-test.js";
import { BooleanField, declareEnum, EnumField, NumberField, StringField } from "../../platform/views/index.js";

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

@ObjectType("PlanLoad", {
  description:
    "What to set a load to: one of current, resistance and power. They agree at 10 s, but none is set to draw more than the label allows, a resistance of the full pack and a power at the cutoff",
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
