import { LogError, type LogErrorCode } from "../../../core/table/log-error.js";
import { decodeTrace } from "../../../core/trace/encode.js";
import type { UseStep } from "../../../core/use/use.js";
import { type LogDemand, stepsOfLog } from "../../../core/use/use-of-log.js";

export interface LoggedUseTask {
  readonly encoding: string;
  readonly data: Uint8Array;
  readonly demand: LogDemand;
}

/** Steps of a stored trace, or why it has none: a run may have been evaluated of which no power is known. */
export type LoggedUseOutcome =
  | { readonly steps: readonly UseStep[] }
  | { readonly code: LogErrorCode; readonly message: string };

export function stepsOfTrace({ encoding, data, demand }: LoggedUseTask): LoggedUseOutcome {
  try {
    return { steps: stepsOfLog(decodeTrace(encoding, data), demand) };
  } catch (error) {
    if (!(error instanceof LogError)) throw error;
    return { code: error.code, message: error.message };
  }
}
