import { decodeTrace } from "../../../core/trace/encode.js";
import type { UseStep } from "../../../core/use/use.js";
import { type LogDemand, stepsOfLog } from "../../../core/use/use-of-log.js";

export interface LoggedUseTask {
  readonly encoding: string;
  readonly data: Uint8Array;
  readonly demand: LogDemand;
}

/** Makes steps of a stored trace. */
export function stepsOfTrace({ encoding, data, demand }: LoggedUseTask): UseStep[] {
  return stepsOfLog(decodeTrace(encoding, data), demand);
}
