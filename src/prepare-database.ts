import { migrate } from "../prisma/migrate.js";
import { ADVISORY_LOCKS } from "./platform/database/advisory-locks.js";
import { singleConnection } from "./platform/database/connections/single-connection.js";
import { awaitDatabase } from "./platform/database/opening/await-database.js";
import { requireUtf8 } from "./platform/database/opening/require-utf8.js";
import { migrateQueue } from "./platform/queue/migrate-queue.js";

/** Gives a database every table that the service stands on. Processes that start together wait for each other. */
export async function prepareDatabase(connectionString: string): Promise<void> {
  await awaitDatabase(connectionString);
  const client = singleConnection({ connectionString });
  await client.connect();
  try {
    await requireUtf8(client);
    await client.query("SELECT pg_advisory_lock($1)", [ADVISORY_LOCKS.prepareDatabase]);
    await migrate(connectionString);
    await migrateQueue(connectionString);
  } finally {
    await client.end();
  }
}
