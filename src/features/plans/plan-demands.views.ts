import { ObjectType } from "@nestjs/graphql";
import { NumberField, ObjectField, StringField } from "../../platform/views/index.js";

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
