import { Injectable } from "@nestjs/common";
import type { Caller } from "../../../platform/auth/account.js";
import { invalidInput } from "../../../platform/http/requests/input.pipe.js";
import { requireStandardLoad } from "../../../platform/http/requests/standard-load.js";
import { notFound } from "../../../platform/problems/problem.js";
import { Threads } from "../../../platform/threads/threads.js";
import { ProtocolsService } from "../../protocols/protocols.service.js";
import { RunsService } from "../runs.service.js";
import type { ReducedTrace, ReductionTask } from "./trace-thread.js";
import { TracesRepository } from "./traces.repository.js";
import { TRACE_CHANNELS, type TraceChannelName, type TraceOptions, type TraceView } from "./traces.views.js";

const UNITS: Readonly<Record<TraceChannelName, string>> = {
  time: "s",
  voltage: "V",
  current: "A",
  temperature: "degC",
  power: "W",
  charge: "Ah",
};
const USUAL_POINTS = 1000;
/** More than a chart has pixels across. */
const DRAWN_POINTS = 2_000;
const USUAL_CHANNELS = ["voltage", "current", "temperature"];

/** What of a trace is asked for; channels by their names. */
export interface TraceRequest extends TraceOptions {
  readonly channels?: readonly string[] | null;
}

/** A trace for a chart. */
export interface DrawnTrace {
  readonly trace: TraceView;
  /** Where the peak power is read, s from onset; null where the trace is too short for one. */
  readonly peakS: number | null;
}

@Injectable()
export class TracesService {
  constructor(
    private readonly runsService: RunsService,
    private readonly tracesRepository: TracesRepository,
    private readonly protocolsService: ProtocolsService,
    private readonly threads: Threads,
  ) {}

  /**
   * The run's trace with the channels asked for, reduced so that their extremes stay.
   *
   * @throws Problem when the run was not evaluated, or does not reach the standard load that was asked for
   */
  async get(id: string, request: TraceRequest, caller: Caller | null): Promise<TraceView> {
    return (await this.reduced(id, request, caller)).trace;
  }

  /** The trace for a chart, and where its peak was read; nothing where the run was not evaluated. */
  async drawn(id: string, caller: Caller | null): Promise<DrawnTrace | null> {
    const run = await this.runsService.visible(id, caller);
    return run.currentEvaluationId
      ? this.reduced(id, { channels: ["voltage", "current", "power", "temperature"], points: DRAWN_POINTS }, caller)
      : null;
  }

  private async reduced(
    id: string,
    { channels, points, load = null }: TraceRequest,
    caller: Caller | null,
  ): Promise<DrawnTrace> {
    const names = channelNames(channels ?? USUAL_CHANNELS);
    if (load !== null) requireStandardLoad(load);
    const run = await this.runsService.visible(id, caller);
    const stored = run.currentEvaluationId && (await this.tracesRepository.find(run.currentEvaluationId));
    if (!stored) throw notFound("trace: the run was not evaluated");
    const under = load === null ? null : await this.translationOf(id, load, caller);
    const task = { encoding: stored.encoding, data: stored.data, names, points: points ?? USUAL_POINTS, under };
    const reduced = await this.threads.run<ReductionTask, ReducedTrace | null>(
      { module: "src/features/runs/trace/trace-thread.js", name: "reduceTrace" },
      task,
    );
    if (!reduced) {
      const message = "is out of the run's reach: its translated figures name the standard loads within it";
      throw invalidInput([{ pointer: "/load", message }]);
    }
    const shown = reduced.channels.map(({ channel, values }) => ({ channel, unit: UNITS[channel], values }));
    const { samples, points: kept, peakS } = reduced;
    return { trace: { runId: run.id, load, samples, points: kept, channels: shown }, peakS };
  }

  private async translationOf(id: string, loadA: number, caller: Caller | null): Promise<ReductionTask["under"]> {
    const { pack, protocol } = await this.runsService.get(id, caller);
    return { loadA, pack, protocol: await this.protocolsService.document(protocol.key, protocol.version) };
  }
}

/** One row a point, the channels as columns with their units in the header (RFC 4180). */
export function traceCsv({ channels }: TraceView): string {
  const header = channels.map(({ channel, unit }) => `${channel} [${unit}]`).join(",");
  const rows = channels[0]?.values.map((_, i) => channels.map(({ values }) => values[i]).join(",")) ?? [];
  return `${[header, ...rows].join("\r\n")}\r\n`;
}

function channelNames(texts: readonly string[]): TraceChannelName[] {
  const names = [...new Set(texts.map((name) => name.trim()))];
  const known: readonly string[] = TRACE_CHANNELS;
  if (names.every((name) => known.includes(name))) return names as TraceChannelName[];
  throw invalidInput([{ pointer: "/channels", message: `must be some of: ${known.join(", ")}` }]);
}
