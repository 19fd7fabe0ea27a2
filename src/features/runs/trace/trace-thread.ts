import { peakInstant } from "../../../core/figures/readings.js";
import { traceUnderLoad } from "../../../core/figures/trace-under-load.js";
import type { PackFacts, Trace } from "../../../core/model.js";
import type { ProtocolDocument } from "../../../core/protocol/index.js";
import { decodeTrace } from "../../../core/trace/encode.js";
import { reducedIndices } from "../../../core/trace/reduce.js";
import type { TraceChannelName } from "./traces.views.js";

export interface ReductionTask {
  readonly encoding: string;
  readonly data: Uint8Array;
  readonly names: readonly TraceChannelName[];
  readonly points: number;
  /** The standard load to translate it to, with what a translation needs; null for the run's own load. */
  readonly under: { readonly loadA: number; readonly pack: PackFacts; readonly protocol: ProtocolDocument } | null;
}

export interface ReducedTrace {
  readonly samples: number;
  readonly points: number;
  /** Where the peak power is read, s from onset; null under a standard load, and where the trace is too short. */
  readonly peakS: number | null;
  readonly channels: readonly { readonly channel: TraceChannelName; readonly values: number[] }[];
}

/**
 * Decodes a stored trace and reduces it for a chart, time first; channels that were not logged are left out. Null when the standard load
 * is out of the run's reach.
 */
export function reduceTrace({ encoding, data, names, points, under }: ReductionTask): ReducedTrace | null {
  const stored = decodeTrace(encoding, data);
  const trace = under ? traceUnderLoad(stored, under.pack, under.protocol, under.loadA) : stored;
  if (!trace) return null;
  const shown = names.flatMap((channel) => {
    const values = channelOf(trace, channel);
    return values ? [{ channel, values }] : [];
  });
  const kept = reducedIndices(
    shown.map(({ values }) => values),
    points,
  );
  const all = [{ channel: "time" as const, values: trace.time }, ...shown];
  return {
    samples: trace.time.length,
    points: kept.length,
    peakS: under ? null : peakInstant(trace),
    channels: all.map(({ channel, values }) => ({ channel, values: Array.from(kept, (i) => values[i] as number) })),
  };
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
    const drawn = ((to - from) * ((current[i] as number) + (current[i - 1] as number))) / 2 / 3600;
    charge[i] = (charge[i - 1] as number) + drawn;
  }
  return charge;
}
