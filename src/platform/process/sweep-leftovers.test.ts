import { existsSync } from "node:fs";
import { mkdtemp, rm, symlink, utimes } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, expect, it } from "@jest/globals";
import { sweepLeftovers } from "./sweep-leftovers.js";

const made: string[] = [];
afterEach(() => Promise.all(made.map((path) => rm(path, { recursive: true, force: true }))));

async function folderOfAge(prefix: string, hours: number): Promise<string> {
  const folder = await mkdtemp(join(tmpdir(), prefix));
  made.push(folder);
  const touched = Date.now() / 1000 - hours * 3600;
  await utimes(folder, touched, touched);
  return folder;
}

it("removes what was left for a day, and neither what is in use nor what is not ours", async () => {
  const left = await folderOfAge("packledger-upload-", 25);
  const moved = await folderOfAge("packledger-move-", 25);
  const used = await folderOfAge("packledger-run-", 23);
  const foreign = await folderOfAge("packledger-other-", 25);
  await sweepLeftovers();
  expect([left, moved, used, foreign].map((folder) => existsSync(folder))).toEqual([false, false, true, true]);
});

it("is not stopped by what vanishes meanwhile", async () => {
  const vanished = join(tmpdir(), `packledger-run-vanished-${process.pid}`);
  made.push(vanished);
  // Listed, but not there when it is looked at.
  await symlink(join(tmpdir(), "packledger-nowhere"), vanished);
  await expect(sweepLeftovers()).resolves.toBeUndefined();
});
