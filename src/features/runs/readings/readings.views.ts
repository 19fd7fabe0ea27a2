import { ArgsType, ObjectType } from "@nestjs/graphql";
import { BOUNDS, type Bound, STOP_REASONS, type StopReason } from "../../../core/model.js";
import { MAX_CHOSEN } from "../../../core/readings/chosen.js";
import { READ_QUANTITIES, READING_KINDS, type ReadQuantity } from "../../../core/readings/read-at-will.js";
import { CHOSEN_LOAD_KINDS } from "../../../core/translation/load-law.js";
import {
  declareEnum,
  EnumField,
  IdField,
  ListField,
  NumberField,
  NumberListField,
  ObjectField,
  QueryListField,
  StringField,
  StringListField,
} from "../../../platform/views/index.js";

declareEnum(READING_KINDS, {
  name: "ReadingKind",
  description: "Where a run was read",
  meanings: {
    mark: "Over the second around an instant, and until that instant",
    span: "From one instant to another",
    cutoff: "From the onset of load to the cutoff, or to the end of the load where that was not reached",
  },
});

const READ_LOAD_KINDS = ["standard", ...CHOSEN_LOAD_KINDS] as const;
declareEnum(READ_LOAD_KINDS, {
  name: "ReadLoadKind",
  description: "What a load holds constant",
  meanings: {
    standard: "A standard load: the resistance of so many amperes at 3.7 V per cell",
    current: "A constant number of amperes",
    power: "A constant number of watts",
    resistance: "A constant number of ohms",
  },
});

declareEnum(READ_QUANTITIES, {
  name: "ReadQuantity",
  description: "What was read",
  meanings: {
    power: "Mean of voltage times current",
    voltage: "Mean voltage of the pack",
    current: "Mean current of the pack",
    temperature: "Mean temperature of the pack",
    charge: "Charge drawn",
    energy: "Energy drawn",
    runtime: "Time from the onset of load to the cutoff: how long the pack holds the load",
    capacity: "Charge drawn until the cutoff",
    "current-mean": "Mean current until the cutoff",
  },
});

@ObjectType("ReadLoad", { description: "The load that a run was read under, where that is not its own" })
export class ReadLoadView {
  @EnumField(READ_LOAD_KINDS, { description: "What it holds constant" })
  kind: (typeof READ_LOAD_KINDS)[number];

  @NumberField({ description: "How much of it, for the whole pack" })
  value: number;

  @StringField({ description: "Symbol of the unit: A, W or ohm", max: 20 })
  unit: string;
}

@ObjectType("ReadValue", { description: "One number read off a run, with its uncertainty" })
export class ReadValueView {
  @EnumField(READ_QUANTITIES, { description: "Power, voltage, current or another measure" })
  quantity: ReadQuantity;

  @NumberField({ description: "Its value, in the unit" })
  value: number;

  @StringField({ description: "Symbol of the unit of value and uncertainty", max: 20 })
  unit: string;

  @NumberField({ description: "Standard uncertainty u, in the unit; people are shown U = 2 u" })
  uncertainty: number;

  @EnumField(BOUNDS, { description: "Whether the true value may be larger, since the cutoff was not reached" })
  bound: Bound;
}

@ObjectType("Reading", { description: "What was read in one place of a run" })
export class ReadingView {
  @EnumField(READING_KINDS, { description: "A mark, a span, or the cutoff" })
  kind: (typeof READING_KINDS)[number];

  @NumberField({ description: "Where means begin, s from the onset of load" })
  fromS: number;

  @NumberField({ description: "Where means end, s from the onset of load" })
  toS: number;

  @ListField(() => ReadValueView, { description: "What was read there; the temperature where it was logged" })
  values: ReadValueView[];
}

@ObjectType("Readings", {
  description: "A run read at the marks and spans, to the cutoff and under the load of your choice",
})
export class ReadingsView {
  @IdField({ description: "Id of the run that it is about" })
  runId: string;

  @ObjectField(() => ReadLoadView, { description: "The load; null under the run's own", optional: true })
  load: ReadLoadView | null;

  @NumberField({
    description: "The cutoff that it was read to, V per cell; null where neither you nor the protocol set one",
    optional: true,
  })
  cutoffVoltsPerCell: number | null;

  @NumberField({ description: "Where reading ended, s from the onset of load" })
  endS: number;

  @EnumField(STOP_REASONS, { description: "Why it ended there" })
  stop: StopReason;

  @ListField(() => ReadingView, { description: "The marks, the spans, then the cutoff" })
  readings: ReadingView[];
}

@ArgsType()
class ReadingOptions {
  @NumberField({
    description: "Voltage per cell to read to; the protocol's own cutoff when left out",
    unit: "V",
    above: 0,
    max: 10,
    optional: true,
    fromText: true,
  })
  cutoff?: number | null;

  @StringField({
    description:
      "The load to read it under: 80A, 1200W or 0.12ohm for the whole pack, or a number without a unit for that standard load, A; the run's own when left out",
    max: 20,
    optional: true,
  })
  load?: string | null;
}

/** As REST asks: the run is in the path, and lists in the query. */
@ArgsType()
export class ReadingsQuery extends ReadingOptions {
  @QueryListField({ description: "Marks, s from the onset of load: 20,45", optional: true })
  at?: string[] | null;

  @QueryListField({ description: "Spans, s from the onset of load: 10..30,60..90", optional: true })
  span?: string[] | null;
}

/** As GraphQL asks. */
@ArgsType()
export class ReadingsArgs extends ReadingOptions {
  @IdField({ description: "Id of the run to read" })
  runId: string;

  @NumberListField({ description: "Marks, s from the onset of load", max: MAX_CHOSEN, optional: true })
  at?: number[] | null;

  @StringListField({
    description: "Spans, s from the onset of load: 10..30",
    max: MAX_CHOSEN,
    longest: 40,
    optional: true,
  })
  span?: string[] | null;
}
