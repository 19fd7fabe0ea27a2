import { ArgsType, InputType } from "@nestjs/graphql";
import { PageArgs } from "../../platform/paging/page.js";
import {
  BooleanField,
  DateTimeField,
  IdField,
  IntField,
  JsonField,
  NumberField,
  StringField,
} from "../../platform/views/index.js";

/** What the tester declares of a run, whatever its specimen and bench. */
@InputType({ isAbstract: true })
export class ConditionsFields {
  @StringField({ description: "Key of the protocol", max: 64 })
  protocol: string;

  @IntField({
    description: "Version of the protocol; the newest when left out",
    min: 1,
    max: 1_000_000,
    optional: true,
  })
  protocolVersion?: number | null;

  @DateTimeField({ description: "When the test began", optional: true })
  startedAt?: string | null;

  @NumberField({ description: "Temperature of the surroundings", unit: "degC", min: -60, max: 100, optional: true })
  ambientC?: number | null;

  @NumberField({
    description: "Rest between the end of charge and the load",
    unit: "min",
    min: 0,
    max: 1e6,
    optional: true,
  })
  restMinutes?: number | null;

  @IntField({ description: "Age of the specimen in full cycles", min: 0, max: 100_000, optional: true })
  cycles?: number | null;

  @NumberField({
    description: "Set current of a constant-current run",
    unit: "A",
    above: 0,
    max: 100_000,
    optional: true,
  })
  setpointA?: number | null;

  @NumberField({
    description: "State of charge at the start of a run that does not start fully charged",
    unit: "%",
    min: 0,
    max: 100,
    optional: true,
  })
  stateOfChargePercent?: number | null;

  @JsonField({
    description:
      'Which column is which: {channel: "header"} or {channel: {name, unit}}, for time, voltage, current, temperature, power, charge, energy',
    optional: true,
  })
  columns?: object | null;
}

@InputType()
export class RunInput extends ConditionsFields {
  @IdField({ description: "The specimen" })
  specimenId: string;

  @IdField({ description: "The bench" })
  benchId: string;
}

@ArgsType()
export class RunsArgs extends PageArgs {
  @IdField({ description: "Only runs of this pack", optional: true })
  packId?: string | null;

  @BooleanField({ description: "Only your own runs, whatever their review", optional: true, fromText: true })
  mine?: boolean | null;
}
