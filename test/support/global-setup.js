import { startTemporaryServer } from "../../dist/src/platform/database/temporary-database.js";
import { prepareDatabase } from "../../dist/src/prepare-database.js";

/** One real PostgreSQL for all test files, with a migrated database that each of them clones. */
export default async function setUp() {
  const server = await startTemporaryServer();
  await prepareDatabase(server.connectionString);
  globalThis.testDatabaseServer = server;
  process.env.TEST_TEMPLATE_DATABASE = server.connectionString;
}
