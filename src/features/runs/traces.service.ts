import { Injectable } from "@nestjs/common";
import type { Trace } from "../../core/model.js";
import { decodeTrace } from "../../core/trace/encode.js";
import { reducedIndices } from "../../core/trace/reduce.js";
import type { Caller } from "../../platform/auth/account.js";
import { invalidInput } from "../../platform/http/input.pipe.js";
import { notFound } from "../../platform/problems/problem.js";
import { RunsRepository } from "./runs.repository.js";
import { RunsService } from "./runs.service.js";
import { TRACE_CHANNELS, type TraceArgs, type TraceChannelName, type TraceView } from "./traces.views.js";

const UNITS: Readonly<Record<TraceChannelName, string>> = {
  time: "s",
  voltage: "V",
  current: "A",
  temperature: "degC",
  power: "W",
  charge: "Ah",
};
const USUAL_POINTS = 1000;
const USUAL_CHANNELS = "voltage,current,temperature";

@Injectable()
export class TracesService {
  constructor(
    private readonly runs: RunsService,
    private readonly repository: RunsRepository,
  ) {}

  /** The run's trace with the channels asked for, reduced so that their extremes stay. */
  async get(id: string, { channels, points }: TraceArgs, caller: Caller | null): Promise<TraceView> {
    const names = channelNames(channels ?? USUAL_CHANNELS);
    const run = await this.runs.visible(id, caller);
    const stored = run.currentEvaluationId && (await this.repository.traceOf(run.currentEvaluationId));
    if (!stored) throw notFound("trace: the run was not evaluated");
    const trace = decodeTrace(stored.encoding, stored.data);
    const shown = names.flatMap((name) => {
      const values = channelOf(trace, name);
      return values ? [{ name, values }] : [];
    });
    const kept = reducedIndices(
      shown.map(({ values }) => values),
      points ?? USUAL_POINTS,
    );
    const pick = (values: Float64Array) => Array.from(kept, (i) => values[i] as number);
    return {
      runId: run.id,
      samples: trace.time.length,
      points: kept.length,
      channels: [{ name: "time" as const, values: trace.time }, ...shown].map(({ name, values }) => ({
        channel: name,
        unit: UNITS[name],
        values: pick(values),
      })),
    };
  }
}

/** One row a point, the channels as columns with their units in the header (RFC 4180). */
export function traceCsv({ channels }: TraceView): string {
  const header = channels.map(({ channel, unit }) => `${channel} [${unit}]`).join(",");
  const rows = channels[0]?.values.map((_, i) => channels.map(({ values }) => values[i]).join(",")) ?? [];
  return `${[header, ...rows].join("\r\n")}\r\n`;
}

function channelNames(text: string): TraceChannelName[] {
  const names = [...new Set(text.split(",").map((name) => name.trim()))];
  const known: readonly string[] = TRACE_CHANNELS;
  if (names.every((name) => known.includes(name))) return names as TraceChannelName[];
  throw invalidInput([
    { pointer: "/channels", message: `must be some of these, with commas between them: ${known.join(", ")}` },
  ]);
}

function channelOf(trace: Trace, name: TraceChannelName): Float64Array | null {
  if (name === "power") return trace.voltage.map((volts, i) => volts * (trace.current[i] as number));
  if (name === "charge") return chargeOf(trace);
  return trace[name];
}

/** Charge drawn since onset, Ah; zero before it. */
function chargeOf({ time, current }: Trace): Float64Array {
  const charge = new Float64Array(time.length);
  for (let i = 1; i < time.length; i++) {
    const [from, to] = [Math.max(0, time[i - 1] as number), Math.max(0, time[i] as number)];
    charge[i] =
      (charge[i - 1] as number) + ((to - from) * ((current[i] as number) + (current[i - 1] as number))) / 2 / 3600;
  }
  return charge;
}
