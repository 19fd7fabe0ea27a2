import { Prisma } from "../../generated/prisma/client.js";

/** Whether a write failed because a unique constraint of the database holds such a row already. */
export function isDuplicate(error: unknown): boolean {
  return error instanceof Prisma.PrismaClientKnownRequestError && error.code === "P2002";
}

/** Whether a write failed because what it refers to does not exist. */
export function isMissingReference(error: unknown): boolean {
  return error instanceof Prisma.PrismaClientKnownRequestError && error.code === "P2003";
}

/** Prisma: not reachable, timed out, connection closed, no connection free, transaction gone. */
const AWAY_IN_PRISMA = new Set(["P1001", "P1002", "P1008", "P1017", "P2024", "P2028"]);
/** SQLSTATE: connection exceptions, too many connections, shut down by an operator, a crash, or still starting. */
const AWAY_IN_SQLSTATE = /^(08...|53300|57P0[123])$/;
const AWAY_IN_NODE = new Set(["ECONNREFUSED", "ECONNRESET", "ETIMEDOUT", "EPIPE", "EHOSTUNREACH"]);
/** The driver gives these no code. */
const AWAY_IN_WORDS = /^(Connection terminated|Client has encountered a connection error|timeout exceeded when trying)/;

/** Whether something failed because the database is away, or went away meanwhile: it can be tried again soon. */
export function isDatabaseAway(error: unknown): boolean {
  if (!(error instanceof Error)) return false;
  const code = "code" in error ? String(error.code) : "";
  if (AWAY_IN_PRISMA.has(code) || AWAY_IN_NODE.has(code) || AWAY_IN_SQLSTATE.test(code)) return true;
  return AWAY_IN_WORDS.test(error.message) || AWAY_IN_SQLSTATE.test(sqlStateOf(error));
}

/** The database's own code for a failure that Prisma reports. */
function sqlStateOf(error: Error): string {
  if (!(error instanceof Prisma.PrismaClientKnownRequestError)) return "";
  const driverError = error.meta?.driverAdapterError as { cause?: { originalCode?: string } } | undefined;
  return driverError?.cause?.originalCode ?? "";
}
