import { ArgsType, ObjectType } from "@nestjs/graphql";
import { CHEMISTRIES, type Chemistry } from "../../../core/inputs/pack.js";
import { ScaleField, WidthField } from "../../../platform/pictures/pictures.views.js";
import { EnumField, IntField, ListField, NumberField } from "../../../platform/views/index.js";

const MAX_COUNT = 1_000_000_000;

@ArgsType()
export class RecordValidationQuery {
  @WidthField()
  width?: number | null;

  @ScaleField()
  scale?: number | null;
}

@ObjectType("ValidatedClass", {
  description:
    "How runs agree with what the other runs of their packs predict of them: of a class, of a chemistry, or of all packs",
})
export class ValidatedClassView {
  @EnumField(CHEMISTRIES, { description: "Of which chemistry; null of all packs together", optional: true })
  chemistry: Chemistry | null;

  @IntField({
    description: "Of how many cells in series; null of all packs of the chemistry",
    min: 1,
    max: 100,
    optional: true,
  })
  series: number | null;

  @IntField({ description: "Packs with validated runs", min: 0, max: MAX_COUNT })
  packs: number;

  @IntField({ description: "Runs that were predicted, each of which counts alike", min: 0, max: MAX_COUNT })
  runs: number;

  @NumberField({
    description: "Root mean square error of the voltage, over the first 95 % of the load",
    unit: "%",
    optional: true,
  })
  voltagePercentRms: number | null;

  @NumberField({
    description: "Share of instants whose voltage lies within two standard uncertainties, as they were stated",
    optional: true,
  })
  voltageCoverage: number | null;

  @IntField({ description: "Runs whose time to the cutoff the others tell", min: 0, max: MAX_COUNT })
  timedRuns: number;

  @NumberField({
    description: "Mean of predicted less measured time to the cutoff: above 0 where predictions are too long",
    unit: "%",
    optional: true,
  })
  timePercentMean: number | null;

  @NumberField({ description: "Root mean square error of the time to the cutoff", unit: "%", optional: true })
  timePercentRms: number | null;

  @NumberField({
    description: "Share of runs whose time to the cutoff lies within two standard uncertainties",
    optional: true,
  })
  timeCoverage: number | null;

  @IntField({ description: "Runs with a probe", min: 0, max: MAX_COUNT })
  probedRuns: number;

  @NumberField({ description: "Mean of predicted less measured temperature near the end", unit: "K", optional: true })
  temperatureMean: number | null;

  @NumberField({ description: "Root mean square error of the temperature near the end", unit: "K", optional: true })
  temperatureRms: number | null;

  @NumberField({
    description: "Share of runs whose temperature near the end lies within two standard uncertainties",
    optional: true,
  })
  temperatureCoverage: number | null;
}

@ObjectType("RecordValidation", {
  description: "How the runs of the record agree with what the other runs of their packs predict of them",
})
export class RecordValidationView {
  @IntField({ description: "Version of how models are fitted that it is of", min: 1, max: 1_000_000 })
  modelVersion: number;

  @ListField(() => ValidatedClassView, {
    description: "All packs together first, then each chemistry, followed by its classes; none without a validated run",
  })
  items: readonly ValidatedClassView[];
}
