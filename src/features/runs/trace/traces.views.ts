import { ArgsType, ObjectType } from "@nestjs/graphql";
import {
  EnumField,
  IdField,
  IntField,
  ListField,
  NumberField,
  NumberListField,
  StringField,
} from "../../../platform/views/index.js";

export const TRACE_CHANNELS = ["voltage", "current", "temperature", "power", "charge"] as const;
export type TraceChannelName = (typeof TRACE_CHANNELS)[number] | "time";

@ObjectType("TraceChannel", { description: "One channel of a trace" })
export class TraceChannelView {
  @EnumField(["time", ...TRACE_CHANNELS], { description: "Which one; time is from the onset of load" })
  channel: TraceChannelName;

  @StringField({ description: "Unit", max: 20 })
  unit: string;

  @NumberListField({ description: "Its values, one a point" })
  values: number[];
}

@ObjectType("Trace", { description: "A run's samples after normalisation, reduced with their extremes kept" })
export class TraceView {
  @IdField({ description: "The run" })
  runId: string;

  @NumberField({ description: "The standard load, A; null under the run's own load", optional: true })
  load: number | null;

  @IntField({ description: "Samples of the whole trace", min: 0, max: 20_000_000 })
  samples: number;

  @IntField({ description: "Points given", min: 0, max: 20_000_000 })
  points: number;

  @ListField(() => TraceChannelView, { description: "Time, then the channels asked for that were logged" })
  channels: TraceChannelView[];
}

@ArgsType()
export class TraceArgs {
  @StringField({
    description: "Channels with commas between them: voltage, current, temperature, power, charge",
    max: 200,
    optional: true,
  })
  channels?: string | null;

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

/** As GraphQL asks; REST has the run in the path. */
@ArgsType()
export class RunTraceArgs extends TraceArgs {
  @IdField({ description: "The run" })
  runId: string;
}
