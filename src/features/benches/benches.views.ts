import { InputType, ObjectType } from "@nestjs/graphql";
import { LOAD_KINDS, type LoadKind, SENSE_POINTS } from "../../core/model.js";
import { connectionOf, listOf } from "../../platform/paging/page.js";
import { EnumField, IdField, NumberField, ObjectField, StringField } from "../../platform/views/index.js";

@InputType("LoadInput")
@ObjectType("Load", { description: "What draws the current" })
export class LoadView {
  @EnumField(LOAD_KINDS, { description: "What the load holds constant" })
  kind: LoadKind;
}

@InputType("VoltageAccuracyInput")
@ObjectType("VoltageAccuracy", { description: "Stated accuracy: within percent of the reading plus offset" })
export class VoltageAccuracyView {
  @NumberField({ description: "Share of the reading", unit: "%", min: 0, max: 100 })
  percent: number;

  @NumberField({ description: "Fixed part", unit: "V", min: 0, max: 1_000 })
  offset: number;
}

@InputType("CurrentAccuracyInput")
@ObjectType("CurrentAccuracy", { description: "Stated accuracy: within percent of the reading plus offset" })
export class CurrentAccuracyView {
  @NumberField({ description: "Share of the reading", unit: "%", min: 0, max: 100 })
  percent: number;

  @NumberField({ description: "Fixed part", unit: "A", min: 0, max: 10_000 })
  offset: number;
}

@InputType("TemperatureAccuracyInput")
@ObjectType("TemperatureAccuracy", { description: "Stated accuracy: within offset" })
export class TemperatureAccuracyView {
  @NumberField({ description: "Fixed part", unit: "K", min: 0, max: 100 })
  offset: number;
}

@InputType("SenseInput")
@ObjectType("Sense", { description: "Where the voltage is sensed" })
export class SenseView {
  @EnumField(SENSE_POINTS, { description: "At the pack's own terminals, or past leads or a connector" })
  point: (typeof SENSE_POINTS)[number];

  @NumberField({ description: "Resistance of both conductors", unit: "mohm", min: 0, max: 100_000, optional: true })
  resistanceMilliohm: number | null;

  @NumberField({ description: "Conductor size, American wire gauge (ASTM B258)", min: -3, max: 40, optional: true })
  gaugeAwg: number | null;

  @NumberField({
    description: "One-way length of the pair of leads",
    unit: "mm",
    above: 0,
    max: 100_000,
    optional: true,
  })
  lengthMm: number | null;
}

/** The equipment itself, as a run's check may also state it without an account. */
@InputType({ isAbstract: true })
@ObjectType({ isAbstract: true })
export class BenchFields {
  @StringField({ description: "How its owner calls it", max: 80 })
  label: string;

  @ObjectField(() => LoadView, { description: "What draws the current" })
  load: LoadView;

  @ObjectField(() => VoltageAccuracyView, { description: "Accuracy of the voltage" })
  voltage: VoltageAccuracyView;

  @ObjectField(() => CurrentAccuracyView, { description: "Accuracy of the current" })
  current: CurrentAccuracyView;

  @ObjectField(() => TemperatureAccuracyView, {
    description: "Accuracy of the temperature, if it is logged",
    optional: true,
  })
  temperature: TemperatureAccuracyView | null;

  @ObjectField(() => SenseView, { description: "Where the voltage is sensed" })
  sense: SenseView;
}

@InputType()
export class BenchInput extends BenchFields {}

@ObjectType("Bench", { description: "A tester's equipment" })
export class BenchView extends BenchFields {
  @IdField({ description: "Id" })
  id: string;
}

export const BenchList = listOf(BenchView, "Bench");
export const BenchConnection = connectionOf(BenchView, "Bench");
