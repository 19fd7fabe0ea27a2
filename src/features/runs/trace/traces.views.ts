import { ArgsType, ObjectType } from "@nestjs/graphql";
import {
  declareEnum,
  EnumField,
  EnumListField,
  IdField,
  IntField,
  ListField,
  NumberField,
  NumberListField,
  QueryListField,
  StringField,
} from "../../../platform/views/index.js";

export const TRACE_CHANNELS = ["voltage", "current", "temperature", "power", "charge"] as const;
const SHOWN_CHANNELS = ["time", ...TRACE_CHANNELS] as const;
export type TraceChannelName = (typeof SHOWN_CHANNELS)[number];

const MEANINGS = {
  voltage: "Voltage of the pack",
  current: "Current of the pack",
  temperature: "Temperature of the pack",
  power: "Voltage times current",
  charge: "Charge drawn since the onset of load",
};
declareEnum(TRACE_CHANNELS, {
  name: "TraceChannelName",
  description: "A channel of a trace that can be asked for",
  meanings: MEANINGS,
});
declareEnum(SHOWN_CHANNELS, {
  name: "ShownChannel",
  description: "A channel of a trace as it is answered",
  meanings: { time: "Time from the onset of load", ...MEANINGS },
});

@ObjectType("TraceChannel", { description: "A measured or derived quantity over the time of a run" })
export class TraceChannelView {
  @EnumField(SHOWN_CHANNELS, { description: "Which one; time is from the onset of load" })
  channel: TraceChannelName;

  @StringField({ description: "Symbol of the unit of its values; 1 for a pure number", max: 20 })
  unit: string;

  @NumberListField({ description: "Its values, one a point" })
  values: number[];
}

@ObjectType("Trace", { description: "A run's samples after normalisation, reduced with their extremes kept" })
export class TraceView {
  @IdField({ description: "Id of the run that it is about" })
  runId: string;

  @NumberField({ description: "The standard load, A; null under the run's own load", optional: true })
  load: number | null;

  @IntField({ description: "Samples of the whole trace", min: 0, max: 20_000_000 })
  samples: number;

  @IntField({ description: "Points of each channel after the reduction", min: 0, max: 20_000_000 })
  points: number;

  @ListField(() => TraceChannelView, { description: "Time, then the channels asked for that were logged" })
  channels: TraceChannelView[];
}

@ArgsType()
export class TraceOptions {
  @IntField({ description: "Most points, 1000 when left out", min: 20, max: 20_000, optional: true, fromText: true })
  points?: number | null;

  @NumberField({
    description: "A standard load, A: the trace as it would have been under it; under the run's own load when left out",
    above: 0,
    max: 10_000,
    optional: true,
    fromText: true,
  })
  load?: number | null;
}

/** As REST asks: the run is in the path, and lists in the query. */
@ArgsType()
export class TraceQuery extends TraceOptions {
  @QueryListField({
    description: "The channels beside time; voltage, current and temperature when left out",
    items: { enum: [...TRACE_CHANNELS] },
    optional: true,
  })
  channels?: string[] | null;
}

/** As GraphQL asks. */
@ArgsType()
export class TraceArgs extends TraceOptions {
  @EnumListField(TRACE_CHANNELS, {
    description: "The channels beside time; voltage, current and temperature when left out",
    optional: true,
  })
  channels?: (typeof TRACE_CHANNELS)[number][] | null;

  @IdField({ description: "Id of the run that it is about" })
  runId: string;
}
