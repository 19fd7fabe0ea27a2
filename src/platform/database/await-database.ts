import { setTimeout as delay } from "node:timers/promises";
import { isDatabaseUnavailable } from "./errors.js";
import { singleConnection } from "./single-connection.js";

const LOOK_AGAIN_MS = 250;

/**
 * Waits until a database takes connections: a service and its database may be started at the same time.
 *
 * @throws the last failure after `patienceMs`, and any that waiting would not mend at once
 */
export async function awaitDatabase(connectionString: string, patienceMs = 30_000): Promise<void> {
  const deadline = Date.now() + patienceMs;
  for (;;) {
    const client = singleConnection({ connectionString, connectionTimeoutMillis: 5_000 });
    try {
      await client.connect();
      return;
    } catch (error) {
      if (!isDatabaseUnavailable(error) || Date.now() >= deadline) throw error;
      await delay(LOOK_AGAIN_MS);
    } finally {
      await client.end();
    }
  }
}
