import { isNativeError } from "node:util/types";
import { Prisma } from "../../generated/prisma/client.js";

/** Whether a write failed because a unique constraint of the database holds such a row already. */
export function isDuplicate(error: unknown): boolean {
  return error instanceof Prisma.PrismaClientKnownRequestError && error.code === "P2002";
}

/** Prisma: not reachable, timed out, connection closed, no connection free, transaction gone. */
const AWAY_IN_PRISMA = new Set(["P1001", "P1002", "P1008", "P1017", "P2024", "P2028"]);
/** SQLSTATE: connection exceptions, too many connections, shut down by an operator, a crash, or still starting. */
const AWAY_IN_SQLSTATE = /^(08...|53300|57P0[123])$/;
const AWAY_IN_NODE = new Set([
  "ECONNREFUSED",
  "ECONNRESET",
  "ETIMEDOUT",
  "EPIPE",
  "EHOSTUNREACH",
  "ENETUNREACH",
  "ENOTFOUND",
  "EAI_AGAIN",
]);
/** Prisma's adapter for the driver. */
const AWAY_IN_DRIVER = new Set(["ConnectionClosed", "DatabaseNotReachable", "SocketTimeout", "TooManyConnections"]);
/** The driver gives these no code. */
const AWAY_IN_WORDS =
  /^(Connection terminated|Cannot use a pool after calling end|Client has encountered a connection error|timeout exceeded when trying)/;

/** SQLSTATE: the disk is full, memory is short, or the database is read-only. */
const NO_STORAGE_IN_SQLSTATE = /^(53100|53200|25006)$/;
const NO_STORAGE_IN_NODE = new Set(["ENOSPC", "EDQUOT", "EROFS"]);

/** SQLSTATE: a statement was cancelled, as `statement_timeout` does. */
const CANCELLED_IN_SQLSTATE = "57014";

/** Whether a statement was ended because it took longer than it may. */
export function isEndedByTimeLimit(error: unknown): boolean {
  if (!isNativeError(error)) return false;
  return [(error as { code?: unknown }).code, driverCauseOf(error).originalCode].includes(CANCELLED_IN_SQLSTATE);
}

/** Whether something failed because nothing can be stored, in the database or in a temporary file: it can be tried again once there is room. */
export function isStorageUnavailable(error: unknown): boolean {
  if (!isNativeError(error)) return false;
  const code = "code" in error ? String(error.code) : "";
  if (NO_STORAGE_IN_NODE.has(code) || NO_STORAGE_IN_SQLSTATE.test(code)) return true;
  return NO_STORAGE_IN_SQLSTATE.test(driverCauseOf(error).originalCode ?? "");
}

/** For a write that is a courtesy: reading goes on without it while nothing can be stored. */
export function unlessStorageUnavailable(error: unknown): void {
  if (!isStorageUnavailable(error)) throw error;
}

/** Whether a failure passes by itself: what was tried is tried again, and nobody gives it up. */
export function isPassing(error: unknown): boolean {
  return isDatabaseUnavailable(error) || isStorageUnavailable(error);
}

/** Whether something failed because the database is away, or went away meanwhile: it can be tried again soon. */
export function isDatabaseUnavailable(error: unknown): boolean {
  if (!isNativeError(error)) return false;
  const code = "code" in error ? String(error.code) : "";
  if (AWAY_IN_PRISMA.has(code) || AWAY_IN_NODE.has(code) || AWAY_IN_SQLSTATE.test(code)) return true;
  if (AWAY_IN_WORDS.test(error.message)) return true;
  const { kind = "", originalCode = "" } = driverCauseOf(error);
  return AWAY_IN_DRIVER.has(kind) || AWAY_IN_SQLSTATE.test(originalCode);
}

/** Prisma, and its adapter for the driver: a deadlock (SQLSTATE 40P01), or a serialization failure (40001). */
const CONFLICT_IN_PRISMA = "P2034";
const CONFLICT_IN_DRIVER = "TransactionWriteConflict";

/** Whether the database ended a transaction because of others beside it: the same work succeeds in another one. */
export function isConflict(error: unknown): boolean {
  if (!isNativeError(error)) return false;
  if ("code" in error && error.code === CONFLICT_IN_PRISMA) return true;
  return driverCauseOf(error).kind === CONFLICT_IN_DRIVER;
}

/**
 * What the driver said of a failure: a kind, and the database's own code where there is one. Prisma reports it with an
 * error of its own, but for the end of a transaction.
 */
function driverCauseOf(error: Error): { readonly kind?: string; readonly originalCode?: string } {
  const isPrismas = error instanceof Prisma.PrismaClientKnownRequestError;
  const driverError = (isPrismas ? error.meta?.driverAdapterError : error) as { cause?: unknown } | undefined;
  return typeof driverError?.cause === "object" && driverError.cause !== null ? driverError.cause : {};
}
