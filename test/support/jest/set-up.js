import { fork } from "node:child_process";
import { once } from "node:events";
import { chmodSync, existsSync, mkdtempSync, statfsSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { buildWhereStale } from "./build.js";

/** Files in memory, on Linux, and how much of it has to be free for them. */
const MEMORY = "/dev/shm";
const ENOUGH_BYTES = 4 * 2 ** 30;

/**
 * Where the run's folder is made: where TMPDIR says, else in memory. Hundreds of files of a database are made for every test file and removed
 * after it: where ext4 has just removed as many, that takes 0.14 to 0.2 s of processor time, and in memory 0.02 s (28 November 2026).
 */
function placeOfRun() {
  if (process.env.TMPDIR || !existsSync(MEMORY)) return tmpdir();
  const { bavail, bsize } = statfsSync(MEMORY);
  return bavail * bsize < ENOUGH_BYTES ? tmpdir() : MEMORY;
}

/**
 * What test files of the service need: the build, a temporary folder of the run, and one real PostgreSQL with a migrated
 * database that each of them clones. A process of its own keeps the database, since this one may be killed.
 */
export default async function setUp() {
  buildWhereStale();
  // The database's account passes through it.
  process.env.TMPDIR = mkdtempSync(join(placeOfRun(), "packledger-tests-"));
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
