import { InputType } from "@nestjs/graphql";
import { CONDITION_FACTS, type RunConditions } from "../../../core/inputs/conditions.js";
import { PROTOCOL_CHOICE_FACTS, type ProtocolChoice } from "../../../core/inputs/protocol-choice.js";
import { DateTimeField, DeclaredBy, IdField, IntField, JsonField, shapeOf } from "../../../platform/views/index.js";

/** What the tester declares of a run, whatever its specimen and bench. */
@DeclaredBy({ ...PROTOCOL_CHOICE_FACTS, ...CONDITION_FACTS })
@InputType({ isAbstract: true })
export class ConditionsFields extends shapeOf<
  Partial<RunConditions> & Pick<ProtocolChoice, "protocol"> & Partial<ProtocolChoice>
>() {
  @DateTimeField({ description: "When the test began; not in the future", isPast: true, optional: true })
  startedAt?: string | null;

  @IntField({
    description: "Which discharge of the log is the run, counted from 1; needed where several could be",
    min: 1,
    max: 1_000,
    optional: true,
  })
  discharge?: number | null;

  @JsonField({
    description:
      'Which column is which: {channel: "header"}, {channel: {name, column, unit, factor, sign}} or {channel: null} for none, for time, voltage, current, temperature, power, charge, energy; {time: {interval, unit}} where rows stand so far apart',
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
