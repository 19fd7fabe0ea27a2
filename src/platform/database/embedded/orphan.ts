import { readFile, rm } from "node:fs/promises";
import { join } from "node:path";
import { setTimeout as delay } from "node:timers/promises";
import { processCommandLine, processIdentity } from "./process-identity.js";

/** Asks a database server to end: open transactions are rolled back, data is flushed; after a while with less patience. */
export async function stopPostmaster(pid: number): Promise<void> {
  for (const signal of ["SIGINT", "SIGQUIT", "SIGKILL"] as const) {
    if ((await processIdentity(pid)) === null) return;
    process.kill(pid, signal);
    for (let waitedMs = 0; waitedMs < 10_000; waitedMs += 25) {
      if ((await processIdentity(pid)) === null) return;
      await delay(25);
    }
  }
  throw new Error(`The database server (process ${pid}) does not end.`);
}

/**
 * Clears what a killed service leaves in a database folder: a server that still runs there is stopped, and a lock file
 * whose process number now belongs to something else is removed.
 */
export async function clearOrphan(databaseFolder: string): Promise<void> {
  const file = join(databaseFolder, "postmaster.pid");
  let pid: number;
  try {
    pid = Number((await readFile(file, "utf8")).split("\n")[0]);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === "ENOENT") return;
    throw error;
  }
  const isAlive = Number.isInteger(pid) && pid > 0 && (await processIdentity(pid)) !== null;
  const commandLine = isAlive ? await processCommandLine(pid) : null;
  const isServerOfThisFolder = isAlive && (commandLine === null || commandLine.includes(databaseFolder));
  if (isServerOfThisFolder) await stopPostmaster(pid);
  await rm(file, { force: true });
}
