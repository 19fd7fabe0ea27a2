import { InputType, ObjectType } from "@nestjs/graphql";
import { GRADES, type Grade } from "../../core/use/pack-model.js";
import { LIMIT_REASONS, type LimitReason } from "../../core/use/verdict.js";
import {
  BooleanField,
  declareEnum,
  EnumField,
  IdField,
  IdListField,
  IntField,
  JsonField,
  ListField,
  NumberField,
  ObjectField,
  StringField,
  StringListField,
} from "../../platform/views/index.js";

declareEnum(GRADES, {
  name: "ModelGrade",
  description: "How far a pack's model may be relied on",
  meanings: {
    provisional: "Of two testers at least, at two currents that lie far apart",
    established: "Of three testers at least, with temperatures, and its runs agree with what the others predict",
  },
});
declareEnum(LIMIT_REASONS, {
  name: "LimitReason",
  description: "What ends a use before its end",
  meanings: {
    voltage: "The voltage of a cell falls below the cutoff",
    power: "More power is asked than the pack can give",
    temperature: "The pack becomes hotter than its limit",
    reserve: "Less charge would be left at the end than is to be kept",
  },
});
export const SUBJECTS = ["mean", "unknown-specimen", "specimen"] as const;
declareEnum(SUBJECTS, {
  name: "PredictionSubject",
  description: "Whose pack a prediction is of",
  meanings: {
    mean: "The mean of the specimens that were tested",
    "unknown-specimen": "A specimen that nobody has tested, such as one from the shop",
    specimen: "A specimen with runs of its own",
  },
});

@InputType("StandardLoadShareInput", { description: "Part of a standard load, as a throttle gives it" })
export class StandardLoadShareInput {
  @NumberField({ description: "Current by which the load is named", unit: "A", above: 0, max: 10_000 })
  loadA: number;

  @NumberField({ description: "How much of it: 1 is all", above: 0, max: 2 })
  share: number;
}

@InputType("UseStepInput", { description: "One step of a use, with exactly one demand; a rest is a current of 0" })
export class UseStepInput {
  @NumberField({ description: "How long it lasts", unit: "s", above: 0, max: 43_200 })
  seconds: number;

  @NumberField({ description: "Power of the pack", unit: "W", min: 0, max: 1_000_000, optional: true })
  powerW?: number | null;

  @NumberField({ description: "Current of the pack", unit: "A", min: 0, max: 100_000, optional: true })
  currentA?: number | null;

  @NumberField({ description: "Resistance across the pack", unit: "ohm", above: 0, max: 1_000_000, optional: true })
  resistanceOhm?: number | null;

  @ObjectField(() => StandardLoadShareInput, { description: "Part of a standard load", optional: true })
  standardLoad?: StandardLoadShareInput | null;
}

@InputType("UseInput", { description: "What a model asks of a pack" })
export class UseInput {
  @ListField(() => UseStepInput, { description: "Steps in their order", max: 20_000 })
  steps: UseStepInput[];

  @IntField({
    description: "How often the steps follow each other; once when left out",
    min: 1,
    max: 20_000,
    optional: true,
  })
  repeats?: number | null;

  @NumberField({
    description: "Temperature of the pack at the start; 23 when left out",
    unit: "degC",
    min: -40,
    max: 80,
    optional: true,
  })
  startC?: number | null;

  @NumberField({
    description: "Temperature of the air; that of the pack at the start when left out",
    unit: "degC",
    min: -40,
    max: 80,
    optional: true,
  })
  ambientC?: number | null;

  @NumberField({
    description: "Age of the pack in cycles; that of the tested ones when left out",
    min: 0,
    max: 100_000,
    optional: true,
  })
  cycles?: number | null;

  @NumberField({
    description: "Voltage of a cell at which the use ends; that of a full load when left out",
    unit: "V",
    min: 2,
    max: 4.2,
    optional: true,
  })
  cutoffVoltsPerCell?: number | null;

  @NumberField({
    description: "Share of the delivered charge that shall be left at the end; 0.2 when left out",
    min: 0,
    max: 0.8,
    optional: true,
  })
  reserve?: number | null;

  @NumberField({
    description: "Hottest that the pack may become; 60 when left out",
    unit: "degC",
    min: 20,
    max: 100,
    optional: true,
  })
  temperatureLimitC?: number | null;
}

@InputType("PredictionInput", { description: "A use of some packs" })
export class PredictionInput {
  @IdListField({ description: "The packs, 10 at most", max: 10 })
  packIds: string[];

  @ObjectField(() => UseInput, { description: "What is asked of them" })
  use: UseInput;

  @EnumField(SUBJECTS, {
    description: "Whose pack it is; a specimen that nobody has tested when left out",
    optional: true,
  })
  of?: (typeof SUBJECTS)[number] | null;

  @IdField({
    description: "Of a prediction of a specimen: which one; your own may have runs that are not public yet",
    optional: true,
  })
  specimenId?: string | null;
}

@ObjectType("UncertainInstant", { description: "An instant of a use with its uncertainty" })
export class UncertainInstantView {
  @NumberField({ description: "When, from the start of the use", unit: "s" })
  value: number;

  @NumberField({ description: "Standard uncertainty u; people are shown U = 2 u", unit: "s" })
  uncertainty: number;
}

@ObjectType("UseLasts", { description: "How long a pack goes on with a use that is repeated" })
export class UseLastsView extends UncertainInstantView {
  @BooleanField({ description: "Whether it is at least so long, and nobody knows how much longer" })
  isLowerBound: boolean;
}

@ObjectType("UseLimit", { description: "The first limit that a use meets" })
export class UseLimitView {
  @EnumField(LIMIT_REASONS, { description: "What ends the use first: voltage, power, charge or temperature" })
  reason: LimitReason;

  @ObjectField(() => UncertainInstantView, { description: "When it is met" })
  at: UncertainInstantView;
}

@ObjectType("MissingRun", { description: "A run that would let more be said" })
export class MissingRunView {
  @StringField({ description: "Key of what is lacking", max: 40 })
  reason: string;

  @StringField({ description: "The run that is needed", max: 400 })
  message: string;
}

@ObjectType("PredictionPoint", { description: "A pack at one instant of its use, with standard uncertainties" })
export class PredictionPointView {
  @NumberField({ description: "From the start of the use", unit: "s" })
  timeS: number;

  @NumberField({ description: "Voltage of the pack", unit: "V" })
  voltageV: number;

  @NumberField({ description: "Standard uncertainty of the voltage", unit: "V" })
  voltageUncertainty: number;

  @NumberField({ description: "Current of the pack", unit: "A" })
  currentA: number;

  @NumberField({ description: "Standard uncertainty of the current; 0 where the use sets it", unit: "A" })
  currentUncertainty: number;

  @NumberField({ description: "Power of the pack", unit: "W" })
  powerW: number;

  @NumberField({ description: "Standard uncertainty of the power; 0 where the use sets it", unit: "W" })
  powerUncertainty: number;

  @NumberField({ description: "Temperature of the skin; null where no run has a probe", unit: "degC", optional: true })
  temperatureC: number | null;

  @NumberField({ description: "Standard uncertainty of the temperature", unit: "K", optional: true })
  temperatureUncertainty: number | null;

  @NumberField({ description: "Charge drawn so far", unit: "mAh" })
  chargeMah: number;

  @NumberField({ description: "Standard uncertainty of the charge; 0 where the use sets it", unit: "mAh" })
  chargeUncertainty: number;
}

@ObjectType("Prediction", { description: "What one pack does under a use" })
export class PredictionView {
  @StringListField({ description: "Read these first", longest: 400 })
  cautions: readonly string[];

  @IdField({ description: "Which of the packs, by its id" })
  packId: string;

  @EnumField(SUBJECTS, { description: "Whose pack it is of" })
  of: (typeof SUBJECTS)[number];

  @BooleanField({ description: "Whether anything is said; else needed says which runs would let it be" })
  answered: boolean;

  @ListField(() => MissingRunView, { description: "Runs that would let more be said; none where all is" })
  needed: readonly MissingRunView[];

  @EnumField(GRADES, { description: "How far the model may be relied on; null without one", optional: true })
  grade: Grade | null;

  @BooleanField({
    description: "Whether the pack holds the use with its reserve; null where its runs do not tell",
    optional: true,
  })
  holds: boolean | null;

  @NumberField({ description: "Probability that it does", optional: true })
  probability: number | null;

  @NumberField({
    description: "Smallest voltage of a cell above the cutoff, the reserve drawn too",
    unit: "V",
    optional: true,
  })
  marginVoltsPerCell: number | null;

  @NumberField({ description: "Standard uncertainty of that margin", unit: "V", optional: true })
  marginUncertainty: number | null;

  @ObjectField(() => UseLimitView, { description: "The first limit that is met; null where none is", optional: true })
  limit: UseLimitView | null;

  @ObjectField(() => UseLastsView, { description: "How long it goes on, the use being repeated", optional: true })
  lasts: UseLastsView | null;

  @NumberField({ description: "Share of the pack's charge that is left at the end of the use", optional: true })
  shareLeft: number | null;

  @NumberField({ description: "How long the use is", unit: "s" })
  durationS: number;

  @NumberField({ description: "Largest current that it draws", unit: "A", optional: true })
  peakA: number | null;

  @NumberField({ description: "Charge that it draws", unit: "Ah", optional: true })
  chargeAh: number | null;

  @NumberField({ description: "Energy that it draws", unit: "Wh", optional: true })
  energyWh: number | null;

  @NumberField({
    description: "Continuous current that ladders have verified; null where none has",
    unit: "A",
    optional: true,
  })
  verifiedContinuousA: number | null;

  @ListField(() => PredictionPointView, { description: "The pack along the use, as far as it is valid" })
  curve: readonly PredictionPointView[];
}

@ObjectType("Predictions", { description: "A use of some packs, in the order in which they were asked for" })
export class PredictionsView {
  @ListField(() => PredictionView, { description: "One for each pack" })
  items: PredictionView[];
}

@ObjectType("PackModel", { description: "What all accepted runs of a pack together say of it" })
export class PackModelView {
  @IdField({ description: "Which of the packs, by its id" })
  packId: string;

  @JsonField({
    description: "The model's numbers, as docs/use.md defines them: enough to compute every prediction again",
  })
  model: object;
}

@ObjectType("ValidatedRun", { description: "One run as the pack's other runs predict it" })
export class ValidatedRunView {
  @IdField({ description: "Which of the accepted runs was predicted from the others" })
  runId: string;

  @NumberField({ description: "Root mean square of the voltage's error, over the first 95 % of the load", unit: "%" })
  voltagePercentRms: number;

  @NumberField({ description: "Share of instants whose voltage lies within two standard uncertainties" })
  voltageCoverage: number;

  @NumberField({
    description: "Predicted less measured time to the cutoff; null where it was not reached",
    unit: "%",
    optional: true,
  })
  timePercent: number | null;

  @NumberField({ description: "Standard uncertainty that was stated of that time", unit: "%", optional: true })
  timeUncertaintyPercent: number | null;

  @NumberField({
    description: "Predicted less measured temperature near the end; null without a probe",
    unit: "K",
    optional: true,
  })
  temperatureK: number | null;
}

@ObjectType("ValidationSummary", { description: "How the runs of a pack agree with what the others predict" })
export class ValidationSummaryView {
  @IntField({ description: "Runs that were predicted", min: 0, max: 1_000 })
  runs: number;

  @NumberField({ description: "Root mean square error of the voltage", unit: "%" })
  voltagePercentRms: number;

  @NumberField({ description: "Root mean square error of the time to the cutoff", unit: "%", optional: true })
  timePercentRms: number | null;

  @NumberField({ description: "Root mean square error of the temperature near the end", unit: "K", optional: true })
  temperatureRms: number | null;

  @NumberField({
    description: "Factor by which every uncertainty is widened, since the runs agree less than it says; 1 or more",
  })
  kappa: number;
}

@ObjectType("PackValidation", { description: "Each run of a pack, predicted from its other runs" })
export class PackValidationView {
  @IdField({ description: "Which of the packs, by its id" })
  packId: string;

  @ListField(() => MissingRunView, { description: "What its runs lack for a model; none where they make one" })
  missing: readonly MissingRunView[];

  @ObjectField(() => ValidationSummaryView, {
    description: "All runs together; null with fewer than two",
    optional: true,
  })
  summary: ValidationSummaryView | null;

  @ListField(() => ValidatedRunView, { description: "Run by run" })
  runs: readonly ValidatedRunView[];
}
