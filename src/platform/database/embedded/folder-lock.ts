import { randomUUID } from "node:crypto";
import { readFile, rm, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { processIdentity } from "./process-identity.js";

interface LockHolder {
  readonly pid: number;
  readonly identity: string;
  /** Tells one holding from another. */
  readonly token?: string;
}

async function readHolder(file: string): Promise<LockHolder | null> {
  try {
    return JSON.parse(await readFile(file, "utf8")) as LockHolder;
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === "ENOENT" || error instanceof SyntaxError) return null;
    throw error;
  }
}

export interface FolderLock {
  /** Whether the folder is still this process's; a lock can be taken over from a process that seems gone. */
  isHeld(): Promise<boolean>;
  release(): Promise<void>;
}

/** Holds a data folder for this process, so that two servers never share it. A lock whose process is gone is taken over. */
export async function lockFolder(folder: string): Promise<FolderLock> {
  const file = join(folder, "server.lock");
  const holding = { pid: process.pid, identity: await processIdentity(process.pid), token: randomUUID() };
  const own = JSON.stringify(holding);
  for (let attempt = 0; attempt < 5; attempt++) {
    try {
      await writeFile(file, own, { flag: "wx", mode: 0o600 });
      return {
        isHeld: async () => (await readHolder(file))?.token === holding.token,
        release: () => rm(file, { force: true }),
      };
    } catch (error) {
      if ((error as NodeJS.ErrnoException).code !== "EEXIST") throw error;
    }
    const holder = await readHolder(file);
    if (holder && (await processIdentity(holder.pid)) === holder.identity) {
      throw new Error(
        `The data folder ${folder} is in use by another running server (process ${holder.pid}). ` +
          "Stop that one, or give this one its own DATA_DIR.",
      );
    }
    await rm(file, { force: true });
  }
  throw new Error(`The data folder ${folder} is being opened by other servers at this moment. Try again.`);
}
