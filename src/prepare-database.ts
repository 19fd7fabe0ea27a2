import { migrate } from "../prisma/migrate.js";
import { migrateQueue } from "./platform/queue/migrate-queue.js";

/** Gives a database every table that the service stands on. */
export async function prepareDatabase(connectionString: string): Promise<void> {
  await migrate(connectionString);
  await migrateQueue(connectionString);
}
