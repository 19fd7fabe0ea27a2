import { execFileSync } from "node:child_process";
import { chmod, mkdtemp, rm, statfs, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as delay } from "node:timers/promises";
import type { Scenario } from "../scenario.js";
import { trial } from "../trial.js";

const SIZE = "500m";
const TIMES = 3;
const FULL_MS = 15_000;
const BETWEEN_MS = 10_000;
/** What is left, bytes: less than the database takes at a time for what it writes ahead. */
const LEFT_BYTES = 2 ** 20;

/** The file system of the database, one in memory, is filled to the last, and given room again. */
export const fullDisk: Scenario = {
  name: "full-disk",
  async run({ say }) {
    const disk = await mkdtemp(join(tmpdir(), "packledger-disk-"));
    await chmod(disk, 0o711);
    try {
      execFileSync("mount", ["-t", "tmpfs", "-o", `size=${SIZE},mode=711`, "tmpfs", disk], { stdio: "pipe" });
    } catch (error) {
      say(`a file system of ${SIZE} cannot be mounted here: ${(error as Error).message.split("\n")[0]}`);
      await rm(disk, { recursive: true });
      return null;
    }
    try {
      return await trial({ databaseFolder: disk }, async (_, crowd) => {
        for (let time = 1; time <= TIMES; time++) {
          await delay(BETWEEN_MS);
          await fill(disk);
          await delay(FULL_MS);
          await rm(join(disk, "ballast"));
          say(`full ${time} times; so far ${JSON.stringify(crowd.answers)}`);
        }
        await delay(BETWEEN_MS);
        const refused = Object.entries(crowd.answers).some(([answer]) => /^(503|507) /.test(answer));
        return {
          done: `the database's disk full ${TIMES} times for ${FULL_MS / 1_000} s`,
          others: refused ? [] : ["nobody was ever told that the disk is full: it was not"],
        };
      });
    } finally {
      execFileSync("umount", [disk]);
      await rm(disk, { recursive: true });
    }
  },
};

/** Takes all room but a little. */
async function fill(disk: string): Promise<void> {
  const ballast = join(disk, "ballast");
  const { bavail, bsize } = await statfs(disk);
  await writeFile(ballast, Buffer.alloc(Math.max(0, bavail * bsize - LEFT_BYTES)));
}
