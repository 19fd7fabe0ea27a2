import { InputType } from "@nestjs/graphql";
import { MAX_USE_S, MIN_STEP_S } from "../../core/use/use.js";
import { IntField, ListField, NumberField, ObjectField } from "../../platform/views/index.js";

@InputType("StandardLoadShareInput", { description: "Part of a standard load, as a throttle gives it" })
export class StandardLoadShareInput {
  @NumberField({ description: "Current by which the load is named", unit: "A", above: 0, max: 10_000 })
  loadA: number;

  @NumberField({ description: "How much of it: 1 is all", above: 0, max: 2 })
  share: number;
}

@InputType("UseStepInput", { description: "One step of a use, with exactly one demand; a rest is a current of 0" })
export class UseStepInput {
  @NumberField({ description: "How long it lasts", unit: "s", min: MIN_STEP_S, max: MAX_USE_S })
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
