import { fork } from "node:child_process";
import { once } from "node:events";
import { chmodSync, mkdtempSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { buildWhereStale } from "./build.js";

/**
 * What test files of the service need: the build, a temporary folder of the run, and one real PostgreSQL with a migrated
 * database that each of them clones. A process of its own keeps the database, since this one may be killed.
 */
export default async function setUp() {
  buildWhereStale();
  // The database's account passes through it.
  process.env.TMPDIR = mkdtempSync(join(tmpdir(), "packledger-tests-"));
  chmodSync(process.env.TMPDIR, 0o711);
  const keeper = fork(fileURLToPath(new URL("keeper.js", import.meta.url)), [], { detached: true, execArgv: [] });
  const ended = once(keeper, "exit").then(([code]) =>
    Promise.reject(new Error(`the database's keeper ended: ${code}`)),
  );
  const [{ template, owner }] = await Promise.race([once(keeper, "message"), ended]);
  globalThis.keeper = keeper;
  process.env.TEST_TEMPLATE_DATABASE = template;
  process.env.TEST_OWNER_DATABASE = owner;
}
