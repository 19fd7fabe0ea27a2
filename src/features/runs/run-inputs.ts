import { ArgsType, InputType } from "@nestjs/graphql";
import { PageArgs } from "../../platform/paging/page.js";
import { Decimal, Document, Id, Instant, Text, Whole, YesNo } from "../../platform/views/index.js";

/** What the tester declares of a run, whatever its specimen and bench. */
@InputType({ isAbstract: true })
export class ConditionsFields {
  @Text({ description: "Key of the protocol", max: 64 })
  protocol: string;

  @Whole({ description: "Version of the protocol; the newest when left out", min: 1, max: 1_000_000, optional: true })
  protocolVersion?: number | null;

  @Instant({ description: "When the test began", optional: true })
  startedAt?: string | null;

  @Decimal({ description: "Temperature of the surroundings", unit: "degC", min: -60, max: 100, optional: true })
  ambientC?: number | null;

  @Decimal({
    description: "Rest between the end of charge and the load",
    unit: "min",
    min: 0,
    max: 1e6,
    optional: true,
  })
  restMinutes?: number | null;

  @Whole({ description: "Age of the specimen in full cycles", min: 0, max: 100_000, optional: true })
  cycles?: number | null;

  @Decimal({ description: "Set current of a constant-current run", unit: "A", above: 0, max: 100_000, optional: true })
  setpointA?: number | null;

  @Decimal({
    description: "State of charge at the start of a run that does not start fully charged",
    unit: "%",
    min: 0,
    max: 100,
    optional: true,
  })
  stateOfChargePercent?: number | null;

  @Document({
    description:
      'Which column is which: {channel: "header"} or {channel: {name, unit}}, for time, voltage, current, temperature, power, charge, energy',
    optional: true,
  })
  columns?: object | null;
}

@InputType()
export class RunInput extends ConditionsFields {
  @Id({ description: "The specimen" })
  specimenId: string;

  @Id({ description: "The bench" })
  benchId: string;
}

@ArgsType()
export class RunsArgs extends PageArgs {
  @Id({ description: "Only runs of this pack", optional: true })
  packId?: string | null;

  @YesNo({ description: "Only your own runs, whatever their review", optional: true, fromText: true })
  mine?: boolean | null;
}
