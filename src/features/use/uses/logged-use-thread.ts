import { LogError, type LogErrorCode } from "../../../core/table/log-error.js";
import { decodeTrace } from "../../../core/trace/encode.js";
import type { LogDemand } from "../../../core/use/log-demand.js";
import { toUse, type UseOfLog } from "../../../core/use/use-of-log.js";

export interface LoggedUseTask {
  readonly encoding: string;
  readonly data: Uint8Array;
  readonly demand: LogDemand;
}

/** Steps of a stored trace, or why it has none: a run may have been evaluated of which no power is known. */
export type LoggedUseOutcome = UseOfLog | { readonly code: LogErrorCode; readonly message: string };

export function stepsOfTrace({ encoding, data, demand }: LoggedUseTask): LoggedUseOutcome {
  try {
    return toUse(decodeTrace(encoding, data), demand);
  } catch (error) {
    if (!(error instanceof LogError)) throw error;
    return { code: error.code, message: error.message };
  }
}
