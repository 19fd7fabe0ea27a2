import { mkdir, readFile, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { withTemporaryDatabase } from "../src/platform/database/temporary-database.js";
import { migrationsFolder, prismaFolder, readMigrations } from "./migration-files.js";
import { withSchemaEngine } from "./schema-engine.js";

/** What the migrations lack to give the tables of schema.prisma, as SQL. */
async function differenceSql(): Promise<string> {
  const migrationsList = await readMigrations();
  const content = await readFile(join(prismaFolder, "schema.prisma"), "utf8");
  return withTemporaryDatabase((connectionString) =>
    withSchemaEngine(connectionString, { isThrowaway: true }, async (engine) => {
      const { stdout } = await engine.diff({
        from: { tag: "migrations", ...migrationsList },
        to: { tag: "schemaDatamodel", files: [{ path: "schema.prisma", content }] },
        script: true,
        exitCode: null,
        filters: { externalTables: [], externalEnums: [] },
      });
      return stdout ?? "";
    }),
  );
}

const name = process.argv[2];
if (!name || !/^[a-z][a-z0-9_]*$/.test(name)) {
  console.error("Name the migration in small letters and underscores: npm run migration -- add_something");
  process.exit(2);
}
const timestamp = new Date().toISOString().replaceAll(/\D/g, "").slice(0, 14);
const folder = join(migrationsFolder, `${timestamp}_${name}`);
const sql = await differenceSql();
if (sql.trim() === "-- This is an empty migration.") {
  console.log("The migrations already give the tables of schema.prisma.");
  process.exit(0);
}
await mkdir(folder, { recursive: true });
await writeFile(join(folder, "migration.sql"), sql);
console.log(`${join(folder, "migration.sql")}\nAdd the checks that schema.prisma cannot say, then commit it.`);
