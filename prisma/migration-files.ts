import { createHash } from "node:crypto";
import { readdir, readFile } from "node:fs/promises";
import { join } from "node:path";
import { projectRoot } from "../src/platform/config/project-root.js";

export const prismaFolder = join(projectRoot, "prisma");
export const migrationsFolder = join(prismaFolder, "migrations");

/** One step of the schema's history. */
export interface Migration {
  /** Time and purpose: names sort in the order in which migrations are applied. */
  readonly name: string;
  readonly sql: string;
  /** SHA-256 of the file, hexadecimal, as Prisma records it. */
  readonly checksum: string;
}

/** Every migration of the folder, oldest first. */
export async function readMigrations(): Promise<readonly Migration[]> {
  const entries = await readdir(migrationsFolder, { withFileTypes: true });
  const names = entries.filter((entry) => entry.isDirectory()).map((entry) => entry.name);
  return Promise.all(
    names.sort().map(async (name) => {
      const file = await readFile(join(migrationsFolder, name, "migration.sql"));
      return { name, sql: file.toString("utf8"), checksum: createHash("sha256").update(file).digest("hex") };
    }),
  );
}
