import { mkdir, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { withTemporaryDatabase } from "../../src/platform/database/opening/temporary-database.js";
import { migrationsFolder } from "../migration-files.js";
import { differenceSql } from "./difference.js";

const name = process.argv[2];
if (!name || !/^[a-z][a-z0-9_]*$/.test(name)) {
  console.error("Name the migration in small letters and underscores: npm run migration -- add_something");
  process.exit(2);
}
const timestamp = new Date().toISOString().replaceAll(/\D/g, "").slice(0, 14);
const folder = join(migrationsFolder, `${timestamp}_${name}`);
const sql = await withTemporaryDatabase(differenceSql);
if (sql === null) {
  console.log("The migrations already give the tables of schema.prisma.");
  process.exit(0);
}
await mkdir(folder, { recursive: true });
await writeFile(join(folder, "migration.sql"), sql);
console.log(
  `${join(folder, "migration.sql")}\nAdd the checks that schema.prisma cannot say, then commit it. Once it has shipped, it is never edited.`,
);
