import type { InputError } from "../../../core/inputs/input-error.js";
import { isLogErrorCode } from "../../../core/table/log-error.js";
import { Problem } from "../../../platform/problems/problem.js";
import { TIME_LIMIT } from "./limits.js";

interface StoredLogError {
  readonly code: string;
  readonly message: string;
  readonly errors?: readonly InputError[] | null;
  readonly columns?: object | null;
  readonly candidates?: readonly object[] | null;
}

/** The problem of a log that cannot be read; its message says what to change, and `candidates` what to send. */
export function unreadable(fault: StoredLogError, extensions: Readonly<Record<string, unknown>> = {}): Problem {
  const { code, message, errors, columns, candidates } = fault;
  if (code === "internal-error") return new Problem(code, message, { extensions });
  if (!isLogErrorCode(code) && code !== TIME_LIMIT) throw new Error(`the record holds the unknown log error ${code}`);
  const maps = columns && candidates ? { columns, candidates } : {};
  return new Problem(code, message, { errors: errors ?? [], extensions: { ...maps, ...extensions } });
}
