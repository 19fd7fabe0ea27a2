import { readFile, rm } from "node:fs/promises";
import { join } from "node:path";
import { setTimeout as delay } from "node:timers/promises";
import { processCommandLine, processesIn, processIdentity } from "./process-identity.js";

/** Asks a database server to end: open transactions are rolled back, data is flushed; after a while with less patience. */
export async function stopPostmaster(pid: number): Promise<void> {
  for (const signal of ["SIGINT", "SIGQUIT", "SIGKILL"] as const) {
    if ((await processIdentity(pid)) === null) return;
    signalIfThere(pid, signal);
    for (let waitedMs = 0; waitedMs < 10_000; waitedMs += 25) {
      if ((await processIdentity(pid)) === null) return;
      await delay(25);
    }
  }
  throw new Error(`The database server (process ${pid}) does not end.`);
}

function signalIfThere(pid: number, signal: NodeJS.Signals): void {
  try {
    process.kill(pid, signal);
  } catch (error) {
    // It ended in this very instant, which is all that was wanted.
    if ((error as NodeJS.ErrnoException).code !== "ESRCH") throw error;
  }
}

/**
 * Clears what a killed service leaves in a database folder: a server that still runs there is stopped, and a lock file
 * whose process number now belongs to something else is removed. That of a dead server stays: PostgreSQL itself takes it
 * over, once it has seen that no process of that server still holds its memory.
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
  if (Number.isInteger(pid) && pid > 0 && (await processIdentity(pid)) !== null) {
    const commandLine = await processCommandLine(pid);
    if (commandLine === null || commandLine.includes(databaseFolder)) await stopPostmaster(pid);
    else await rm(file, { force: true });
  }
  await untilNoneWorksIn(databaseFolder);
}

/** The processes of a server whose first one was killed end by themselves, within moments. */
async function untilNoneWorksIn(databaseFolder: string): Promise<void> {
  for (let waitedMs = 0; waitedMs < 30_000; waitedMs += 50) {
    if (!(await processesIn(databaseFolder, "postgres")).length) return;
    await delay(50);
  }
  throw new Error(`Processes of a killed database server still work in ${databaseFolder}. End them first.`);
}
