import { evaluate, type RunFacts } from "../../../core/evaluate.js";
import type { InputError } from "../../../core/inputs/input-error.js";
import type { Evaluation, SavedColumnMap } from "../../../core/model.js";
import type { ProtocolDocument } from "../../../core/protocol/index.js";
import { type ColumnProposal, LogError, type LogErrorCode } from "../../../core/table/log-error.js";
import { encodeTrace, TRACE_ENCODING } from "../../../core/trace/encode.js";
import { readLogFile } from "../../../platform/files/read-log-file.js";
import type { RunProgress } from "../progress/progress.js";
import type { TIME_LIMIT } from "./limits.js";

/** A log as uploaded: the path of its file, or its bytes where they are few. */
export type LogSource = string | Uint8Array<ArrayBuffer>;

export interface EvaluationTask {
  readonly log: LogSource;
  readonly facts: RunFacts;
  readonly protocol: ProtocolDocument;
}

/** Why a log cannot be read; where its columns are open, with the maps that settle them. */
export interface UnreadableLog extends Partial<ColumnProposal> {
  readonly code: LogErrorCode | typeof TIME_LIMIT;
  readonly message: string;
  readonly errors: readonly InputError[];
}

export interface EvaluatedLog {
  readonly evaluation: Evaluation;
  readonly trace: { readonly encoding: string; readonly data: Uint8Array };
  readonly savedMap: SavedColumnMap | null;
}

export type EvaluationOutcome = EvaluatedLog | { readonly unreadable: UnreadableLog };

/** Evaluates a log. Runs on a thread of its own; an unreadable log is an outcome, anything else thrown is a fault of the system. */
export async function evaluateLog(
  { log, facts, protocol }: EvaluationTask,
  tell: (progress: RunProgress) => void = () => undefined,
): Promise<EvaluationOutcome> {
  try {
    const chunks = typeof log === "string" ? readLogFile(log, tell) : [log];
    if (typeof log !== "string") tell({ stage: "computing", done: log.length, total: log.length });
    const { evaluation, trace, readings, savedMap } = await evaluate(chunks, facts, protocol);
    return { evaluation, trace: { encoding: TRACE_ENCODING, data: encodeTrace(trace, readings) }, savedMap };
  } catch (error) {
    return { unreadable: unreadableLogOf(error) };
  }
}

/** Why a log cannot be read; anything else that was thrown is thrown on. */
export function unreadableLogOf(error: unknown): UnreadableLog {
  if (!(error instanceof LogError)) throw error;
  return { code: error.code, message: error.message, errors: error.places, ...error.proposal };
}
