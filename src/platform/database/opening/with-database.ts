import { setTimeout as delay } from "node:timers/promises";
import { isDatabaseUnavailable } from "../errors.js";
import { awaitDatabase } from "./await-database.js";

const TRY_AGAIN_MS = 250;

/**
 * Does what a start needs of a database, once that takes connections; from its beginning again each time the database
 * goes away meanwhile.
 *
 * @param patienceMs how long the database is waited for each time
 * @throws Error when the database stays away for longer; at once what waiting would not mend
 */
export async function withDatabase<T>(
  connectionString: string,
  patienceMs: number,
  work: () => Promise<T>,
): Promise<T> {
  for (;;) {
    await awaitDatabase(connectionString, patienceMs);
    try {
      return await work();
    } catch (error) {
      if (!isDatabaseUnavailable(error)) throw error;
      console.error("The database went away during the start, which begins again.");
      await delay(TRY_AGAIN_MS);
    }
  }
}
