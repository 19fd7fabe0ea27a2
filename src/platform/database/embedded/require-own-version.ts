import { execFile } from "node:child_process";
import { readFile } from "node:fs/promises";
import { join } from "node:path";
import { promisify } from "node:util";
import { serverEnvironment } from "./initialise.js";

const run = promisify(execFile);

/**
 * A major version of PostgreSQL reads no files of another (PostgreSQL: upgrading a cluster).
 *
 * @throws Error when the database's files were made by another one than this program brings
 */
export async function requireOwnVersion(databaseFolder: string, postgres: string): Promise<void> {
  const madeBy = (await readFile(join(databaseFolder, "PG_VERSION"), "utf8")).trim();
  const { stdout } = await run(postgres, ["--version"], { env: serverEnvironment() });
  const own = /\) (\d+)/.exec(stdout)?.[1];
  if (own === undefined || own === madeBy) return;
  throw new Error(
    `The database in ${databaseFolder} was made by PostgreSQL ${madeBy}, and this version of Packledger brings PostgreSQL ${own}, ` +
      "which cannot read it. Back it up with the version that made it (packledger backup), and restore that with this one into a new DATA_DIR.",
  );
}
