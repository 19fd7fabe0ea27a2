import { ObjectType } from "@nestjs/graphql";
import { GRADES } from "../../core/use/model/pack-model.js";
import {
  declareEnum,
  IdField,
  IntField,
  JsonField,
  ListField,
  NumberField,
  ObjectField,
  StringField,
} from "../../platform/views/index.js";

declareEnum(GRADES, {
  name: "ModelGrade",
  description: "How far a pack's model may be relied on",
  meanings: {
    provisional: "Of two testers at least, at two currents that lie far apart",
    established: "Of three testers at least, with temperatures, and its runs agree with what the others predict",
  },
});

@ObjectType("MissingRun", { description: "A run that would let more be said" })
export class MissingRunView {
  @StringField({ description: "Key of what is lacking", max: 40 })
  reason: string;

  @StringField({ description: "The run that is needed", max: 400 })
  message: string;
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
    description:
      "Predicted less measured time to the cutoff; null where it was not reached, or where the other runs tell no time that it contradicts",
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

  @NumberField({ description: "Standard uncertainty that was stated of that temperature", unit: "K", optional: true })
  temperatureUncertainty: number | null;
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
