import { evaluate, type RunFacts } from "../../../core/evaluate.js";
import type { InputError } from "../../../core/inputs/input-error.js";
import type { Evaluation, SavedColumnMap } from "../../../core/model.js";
import type { ProtocolDocument } from "../../../core/protocol/index.js";
import { type ColumnProposal, LogError, type LogErrorCode } from "../../../core/table/log-error.js";
import { encodeTrace, TRACE_ENCODING } from "../../../core/trace/encode.js";
import { readLogFile } from "../../../platform/files/read-log-file.js";
import type { RunProgress } from "../progress/progress.js";
import type { TIME_LIMIT } from "./limits.js";

export interface EvaluationTask {
  /** File of the log as uploaded. */
  readonly path: string;
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

/** Evaluates a log file. Runs on a thread of its own; an unreadable log is an outcome, anything else thrown is a fault of the system. */
export async function evaluateFile(
  { path, facts, protocol }: EvaluationTask,
  tell: (progress: RunProgress) => void = () => undefined,
): Promise<EvaluationOutcome> {
  try {
    const file = readLogFile(path, tell);
    const { evaluation, trace, readings, savedMap } = await evaluate(file, facts, protocol);
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
