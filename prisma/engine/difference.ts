import { readFile } from "node:fs/promises";
import { join } from "node:path";
import type { MigrationList } from "@prisma/schema-engine-wasm";
import { migrationsFolder, prismaFolder, readMigrations } from "../migration-files.js";
import { withSchemaEngine } from "./schema-engine.js";

/** What the migrations lack to give the tables of schema.prisma, as SQL; null when they lack nothing. */
export async function differenceSql(throwawayConnectionString: string): Promise<string | null> {
  const migrations = await migrationList();
  const content = await readFile(join(prismaFolder, "schema.prisma"), "utf8");
  return withSchemaEngine(throwawayConnectionString, { isThrowaway: true }, async (engine) => {
    const { stdout } = await engine.diff({
      from: { tag: "migrations", ...migrations },
      to: { tag: "schemaDatamodel", files: [{ path: "schema.prisma", content }] },
      script: true,
      exitCode: null,
      filters: { externalTables: [], externalEnums: [] },
    });
    const sql = stdout ?? "";
    return sql.trim() === "-- This is an empty migration." ? null : sql;
  });
}

/** The migrations in the form that the engine reads. */
export async function migrationList(): Promise<MigrationList> {
  const migrations = await readMigrations();
  return {
    baseDir: migrationsFolder,
    lockfile: {
      path: "migration_lock.toml",
      content: await readFile(join(migrationsFolder, "migration_lock.toml"), "utf8"),
    },
    shadowDbInitScript: "",
    migrationDirectories: migrations.map(({ name, sql }) => ({
      path: name,
      migrationFile: { path: "migration.sql", content: { tag: "ok", value: sql } },
    })),
  };
}
