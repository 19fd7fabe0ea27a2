import { InputType, ObjectType } from "@nestjs/graphql";
import {
  type Accuracy,
  BENCH_FACTS,
  type BenchFacts,
  CURRENT_ACCURACY_FACTS,
  type DeclaredBench,
  LOAD_FACTS,
  SENSE_FACTS,
  type Sense,
  TEMPERATURE_ACCURACY_FACTS,
  VOLTAGE_ACCURACY_FACTS,
} from "../../core/inputs/bench.js";
import { Node } from "../../platform/graphql/node.js";
import { connectionOf, listOf } from "../../platform/paging/page.js";
import {
  DeclaredBy,
  IdField,
  IntField,
  NumberField,
  ObjectField,
  StringField,
  shapeOf,
} from "../../platform/views/index.js";

@DeclaredBy(LOAD_FACTS)
@InputType("LoadInput", { description: "How the current is drawn" })
@ObjectType("Load", { description: "What draws the current" })
export class LoadView extends shapeOf<BenchFacts["load"]>() {}

@DeclaredBy(VOLTAGE_ACCURACY_FACTS)
@InputType("VoltageAccuracyInput", {
  description: "How far a reading of the voltage may be off: percent of it plus offset",
})
@ObjectType("VoltageAccuracy", { description: "Stated accuracy: within percent of the reading plus offset" })
export class VoltageAccuracyView extends shapeOf<Accuracy>() {}

@DeclaredBy(CURRENT_ACCURACY_FACTS)
@InputType("CurrentAccuracyInput", {
  description: "How far a reading of the current may be off: percent of it plus offset",
})
@ObjectType("CurrentAccuracy", { description: "Stated accuracy: within percent of the reading plus offset" })
export class CurrentAccuracyView extends shapeOf<Accuracy>() {}

@DeclaredBy(TEMPERATURE_ACCURACY_FACTS)
@InputType("TemperatureAccuracyInput", { description: "How far a reading of the temperature may be off" })
@ObjectType("TemperatureAccuracy", { description: "Stated accuracy: within offset" })
export class TemperatureAccuracyView extends shapeOf<{ offset: number }>() {}

@DeclaredBy(SENSE_FACTS)
@InputType("SenseInput", { description: "At which point the voltage is read, and past what leads" })
@ObjectType("Sense", { description: "Where the voltage is sensed" })
export class SenseView extends shapeOf<Sense>() {}

/** The equipment itself, as a run's check may also state it without an account. */
@DeclaredBy(BENCH_FACTS)
@InputType({ isAbstract: true })
@ObjectType({ isAbstract: true })
export class BenchFields extends shapeOf<Pick<DeclaredBench, "label" | "clockPercent">>() {
  @ObjectField(() => LoadView, BENCH_FACTS.load)
  load: LoadView;

  @ObjectField(() => VoltageAccuracyView, BENCH_FACTS.voltage)
  voltage: VoltageAccuracyView;

  @ObjectField(() => CurrentAccuracyView, BENCH_FACTS.current)
  current: CurrentAccuracyView;

  @ObjectField(() => TemperatureAccuracyView, BENCH_FACTS.temperature)
  temperature: TemperatureAccuracyView | null;

  @ObjectField(() => SenseView, BENCH_FACTS.sense)
  sense: SenseView;
}

@InputType({ description: "Equipment to register" })
export class BenchInput extends BenchFields {}

@InputType({ description: "What of a bench is stated otherwise from now on; what is left out stays" })
export class BenchCorrectionInput {
  @StringField({ ...BENCH_FACTS.label, optional: true })
  label?: string | null;

  @ObjectField(() => LoadView, { ...BENCH_FACTS.load, optional: true })
  load?: LoadView | null;

  @ObjectField(() => VoltageAccuracyView, { ...BENCH_FACTS.voltage, optional: true })
  voltage?: VoltageAccuracyView | null;

  @ObjectField(() => CurrentAccuracyView, { ...BENCH_FACTS.current, optional: true })
  current?: CurrentAccuracyView | null;

  @ObjectField(() => TemperatureAccuracyView, { ...BENCH_FACTS.temperature, optional: true })
  temperature?: TemperatureAccuracyView | null;

  @NumberField({ ...BENCH_FACTS.clockPercent, optional: true })
  clockPercent?: number | null;

  @ObjectField(() => SenseView, { ...BENCH_FACTS.sense, optional: true })
  sense?: SenseView | null;

  @StringField({ description: "Why, for the audit log", max: 1_000, multiline: true, optional: true })
  reason?: string | null;
}

@ObjectType("Bench", { description: "A tester's equipment", implements: () => [Node] })
export class BenchView extends BenchFields {
  @IdField({ description: "Names the bench where runs are uploaded" })
  id: string;

  @IntField({
    description: "Counts from 1 how often it was stated otherwise after runs were measured on it",
    min: 1,
    max: 1_000_000,
  })
  version: number;

  @IdField({ description: "Id of its newest version; null for that one itself", optional: true })
  replacedById: string | null;
}

export const BenchList = listOf(BenchView, "Bench");
export const BenchConnection = connectionOf(BenchView, "Bench");
