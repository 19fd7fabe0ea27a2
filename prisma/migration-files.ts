import { readdir, readFile } from "node:fs/promises";
import { join } from "node:path";
import type { MigrationList } from "@prisma/schema-engine-wasm";
import { projectRoot } from "../src/platform/config/project-root.js";

export const prismaFolder = join(projectRoot, "prisma");
export const migrationsFolder = join(prismaFolder, "migrations");

/** Every migration of the folder, oldest first, in the form that the engine reads. */
export async function readMigrations(): Promise<MigrationList> {
  const entries = await readdir(migrationsFolder, { withFileTypes: true });
  const names = entries.filter((entry) => entry.isDirectory()).map((entry) => entry.name);
  const migrationDirectories = await Promise.all(
    names.sort().map(async (name) => ({
      path: name,
      migrationFile: {
        path: "migration.sql",
        content: { tag: "ok" as const, value: await readFile(join(migrationsFolder, name, "migration.sql"), "utf8") },
      },
    })),
  );
  return {
    baseDir: migrationsFolder,
    lockfile: {
      path: "migration_lock.toml",
      content: await readFile(join(migrationsFolder, "migration_lock.toml"), "utf8"),
    },
    shadowDbInitScript: "",
    migrationDirectories,
  };
}
