import { readdir, rm, stat } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";

/** Folders of uploads and evaluations under the system's temporary folder. */
const OWN_FOLDER = /^packledger-(upload|run)-/;
const DAY_MS = 86_400_000;

/** Removes what killed processes left in the temporary folder: folders of ours that nobody has touched for a day. */
export async function sweepLeftovers(): Promise<void> {
  const names = (await readdir(tmpdir())).filter((name) => OWN_FOLDER.test(name));
  for (const name of names) {
    const folder = join(tmpdir(), name);
    const { mtimeMs } = await stat(folder);
    if (Date.now() - mtimeMs > DAY_MS) await rm(folder, { recursive: true, force: true });
  }
}
