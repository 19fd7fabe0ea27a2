import { readMigrations } from "./migration-files.js";
import { withSchemaEngine } from "./schema-engine.js";

const noFilters = { externalTables: [], externalEnums: [] };

/**
 * Brings the database up to the migrations of this folder and returns the names of those that were applied.
 * The record of them is the table that Prisma's own command line keeps, so either can follow the other.
 */
export async function migrate(connectionString: string): Promise<readonly string[]> {
  const migrationsList = await readMigrations();
  return withSchemaEngine(connectionString, { isThrowaway: false }, async (engine) => {
    const history = await engine.diagnoseMigrationHistory({
      migrationsList,
      optInToShadowDatabase: false,
      filters: noFilters,
    });
    if (history.editedMigrationNames.length > 0) {
      throw new Error(
        `Migrations were changed after they had been applied: ${history.editedMigrationNames.join(", ")}`,
      );
    }
    if (history.failedMigrationNames.length > 0) {
      throw new Error(`Migrations failed before and need mending by hand: ${history.failedMigrationNames.join(", ")}`);
    }
    if (history.history && history.history.diagnostic !== "databaseIsBehind") {
      const unknown = history.history.unpersistedMigrationNames.join(", ");
      throw new Error(`The database was migrated by a newer or other version of this program: ${unknown}`);
    }
    const { appliedMigrationNames } = await engine.applyMigrations({ migrationsList, filters: noFilters });
    return appliedMigrationNames;
  });
}
