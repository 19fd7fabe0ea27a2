import { isLogErrorCode } from "../../core/table/log-error.js";
import { type Fault, Problem } from "../../platform/problems/problem.js";
import type { RunFaultView } from "./runs.views.js";

/** The problem of a log that cannot be read; its message says what to change. */
export function unreadable(
  fault: RunFaultView & { readonly errors?: readonly Fault[] },
  extensions: Readonly<Record<string, unknown>> = {},
): Problem {
  if (!isLogErrorCode(fault.code)) throw new Error(`the record holds the unknown log error ${fault.code}`);
  return new Problem(fault.code, fault.message, { errors: fault.errors ?? [], extensions });
}
