import type { Stats } from "node:fs";
import { readdir, rm, stat } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";

/** Folders of uploads, evaluations and moves of the record under the system's temporary folder. */
const OWN_FOLDER = /^packledger-(upload|run|move)-/;
const DAY_MS = 86_400_000;

/** Removes what killed processes left in the temporary folder: folders of this account that nobody has touched for a day. */
export async function sweepLeftovers(): Promise<void> {
  const names = (await readdir(tmpdir())).filter((name) => OWN_FOLDER.test(name));
  for (const name of names) {
    const folder = join(tmpdir(), name);
    const status = await statusOf(folder);
    if (!status || status.uid !== (process.getuid?.() ?? status.uid)) continue;
    if (Date.now() - status.mtimeMs > DAY_MS) await rm(folder, { recursive: true, force: true });
  }
}

/** Null when there is nothing any more: other processes come to the end of their uploads meanwhile. */
async function statusOf(folder: string): Promise<Stats | null> {
  try {
    return await stat(folder);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === "ENOENT") return null;
    throw error;
  }
}
