import { Logger, runMigrations } from "graphile-worker";
import { makePool } from "../database/connections/pool.js";

const quiet = new Logger(() => () => undefined);

/** Brings the queue's own tables up to its library's version. */
export async function migrateQueue(connectionString: string): Promise<void> {
  const pool = makePool(connectionString, 2);
  try {
    await runMigrations({ pgPool: pool, logger: quiet });
  } finally {
    await pool.end();
  }
}
