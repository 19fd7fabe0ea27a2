import { type ReadLog, readLog } from "./channels/read-log.js";
import type { MapChoice } from "./channels/saved-map.js";
import { figuresNamed } from "./figures/catalogue.js";
import { type EvaluationInput, readInput } from "./figures/evaluation-input.js";
import { figuresOf } from "./figures/with-uncertainty.js";
import {
  type BenchFacts,
  COMPUTATION_VERSION,
  type Evaluation,
  type PackFacts,
  type RunConditions,
  type SavedColumnMap,
  type Trace,
} from "./model.js";
import { assessRules, verdictOf } from "./protocol/conformance.js";
import type { ProtocolDocument } from "./protocol/document.js";
import { pulsesOf, translationOf } from "./protocol/load.js";
import { type ByteChunks, MIB } from "./table/archive/chunks.js";
import { connectedCells } from "./trace/cells/connected-cells.js";
import { chooseDischarge } from "./trace/choose-discharge.js";
import { normalise } from "./trace/normalise.js";
import type { ReadingsOfTrace } from "./trace/readings-of-trace.js";

/** Largest log after unpacking, bytes. */
export const UNPACKED_LIMIT_BYTES = 512 * MIB;

/** What is known of a run beside its log. */
export interface RunFacts extends MapChoice {
  readonly pack: PackFacts;
  readonly bench: BenchFacts;
  readonly conditions: RunConditions;
  /** Which discharge of the log is the run, from 1 on; null or left out where the log has one. */
  readonly discharge?: number | null;
}

export interface EvaluatedRun {
  readonly evaluation: Evaluation;
  readonly trace: Trace;
  /** What the trace was made of. */
  readonly readings: ReadingsOfTrace;
  /** The saved column map that was applied; with it as `columns` and `columnsLabel` the run can be computed again. */
  readonly savedMap: SavedColumnMap | null;
}

/**
 * The whole pipeline: log bytes to table, channels, trace, figures, findings and verdict.
 * The same log, facts and protocol version give the same result to the last bit, on any machine, at any time.
 *
 * @param log the bytes as uploaded, whole or in chunks in order
 * @throws LogError when the log cannot be read; it says what its tester should change
 */
export async function evaluate(log: ByteChunks, facts: RunFacts, protocol: ProtocolDocument): Promise<EvaluatedRun> {
  return evaluateRead(await readLog(log, UNPACKED_LIMIT_BYTES, facts), facts, protocol);
}

/** The pipeline from the columns on: what a log that was read once gives under these facts and this protocol version. */
export function evaluateRead(read: ReadLog, facts: RunFacts, protocol: ProtocolDocument): EvaluatedRun {
  const { pack, bench, conditions } = facts;
  const cell = protocol.cells[pack.chemistry];
  const limits = {
    cutoffVolts: cell.cutoff === null ? null : pack.series * cell.cutoff,
    series: pack.series,
    temperatureLimitC: protocol.temperatureLimitC,
    endingProbeK: protocol.load.kind === "set-current" ? (bench.temperature?.offset ?? 0) : null,
  };
  const pulses = pulsesOf(protocol, pack);
  const { discharge = null } = facts;
  // Pulses are several loads that make one run.
  const connected = connectedCells(read.channels, pack.series);
  const chosen = pulses && discharge === null ? null : chooseDischarge(connected.channels, pack.series, discharge);
  const run = normalise(chosen?.channels ?? connected.channels, pack, bench, limits);
  const subject: EvaluationInput = {
    trace: run.trace,
    rest: run.rest,
    startTemperatureC: run.startTemperatureC,
    loadCurrentA: run.loadCurrentA,
    limits,
    cutoffShiftS: 0,
    translation: translationOf(protocol, pack),
    pulses,
    pulseShiftS: 0,
  };
  const reads = readInput(subject, run.stop);
  const figures = figuresOf(subject, reads, run, pack, bench, figuresNamed(protocol.figures));
  const findings = assessRules({ protocol, cell, pack, bench, conditions, run, reads, figures });
  return {
    evaluation: {
      computationVersion: COMPUTATION_VERSION,
      protocol: { key: protocol.key, version: protocol.version },
      log: { bytes: read.bytes, rows: read.rows, columns: read.readings },
      trace: run.summary,
      adjustments: [...read.adjustments, ...connected.adjustments, ...(chosen?.adjustments ?? []), ...run.adjustments],
      figures,
      findings,
      verdict: verdictOf(findings, protocol.rules),
    },
    trace: run.trace,
    readings: run.readings,
    savedMap: read.savedMap,
  };
}
