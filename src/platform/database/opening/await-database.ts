import { setTimeout as delay } from "node:timers/promises";
import { singleConnection } from "../connections/single-connection.js";
import { isDatabaseUnavailable } from "../errors.js";

const LOOK_AGAIN_MS = 250;
/** How long a connection may take before that is said, and how often it is said again, ms. */
const SAY_AFTER_MS = 1_000;
const SAY_AGAIN_MS = 30_000;

/**
 * Waits until a database takes connections: a service and its database may be started at the same time. Says at once what it waits
 * for, and now and then again; never the password.
 *
 * @param say takes a line for the operator
 * @throws Error after `patienceMs`; at once what waiting would not mend
 */
export async function awaitDatabase(
  connectionString: string,
  patienceMs = 30_000,
  say: (line: string) => void = console.error,
): Promise<void> {
  const deadline = performance.now() + patienceMs;
  const name = nameOf(connectionString);
  const limit = Number.isFinite(patienceMs) ? `, for ${Math.ceil(patienceMs / 1000)} s at most` : "";
  let saidAt = Number.NEGATIVE_INFINITY;
  const sayWhy = (why: string) => {
    if (performance.now() - saidAt < SAY_AGAIN_MS) return;
    saidAt = performance.now();
    say(`Waiting for the ${name}${limit}: ${why}.`);
  };
  for (;;) {
    const client = singleConnection({ connectionString, connectionTimeoutMillis: 5_000 });
    const slow = setTimeout(() => sayWhy("no answer yet"), SAY_AFTER_MS);
    try {
      await client.connect();
      return;
    } catch (error) {
      if (!isDatabaseUnavailable(error)) throw error;
      const why = reasonOf(error);
      if (performance.now() >= deadline) throw givenUp(`The ${name} did not answer: ${why}.`, error);
      sayWhy(why);
      await delay(Math.max(0, Math.min(LOOK_AGAIN_MS, deadline - performance.now())));
    } finally {
      clearTimeout(slow);
      await client.end();
    }
  }
}

/** A database without user and password. */
function nameOf(connectionString: string): string {
  const { hostname, port, pathname } = new URL(connectionString);
  return `database "${decodeURIComponent(pathname.slice(1))}" at ${hostname || "localhost"}:${port || "5432"}`;
}

/** The failure's code, which is all that some have to say. */
function reasonOf(error: unknown): string {
  const { code, message } = error as { code?: string; message?: string };
  return code ?? (message || "no connection");
}

function givenUp(message: string, cause: unknown): Error {
  return Object.assign(new Error(message, { cause }), { code: (cause as { code?: string }).code });
}
