import { InputType, ObjectType } from "@nestjs/graphql";
import type { Grade } from "../../core/use/model/pack-model.js";
import { GRADES } from "../../core/use/model/pack-model.js";
import { MAX_PREDICTED_PACKS } from "../../core/use/use.js";
import { LIMIT_REASONS, type LimitReason } from "../../core/use/verdict.js";
import {
  BooleanField,
  declareEnum,
  EnumField,
  IdField,
  IdListField,
  ListField,
  NumberField,
  ObjectField,
  StringListField,
} from "../../platform/views/index.js";
import { MissingRunView } from "./pack-models.views.js";
import { UseInput } from "./use.views.js";

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

@InputType("PredictionInput", { description: "A use of some packs" })
export class PredictionInput {
  @IdListField({ description: `The packs, ${MAX_PREDICTED_PACKS} at most`, max: MAX_PREDICTED_PACKS })
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
