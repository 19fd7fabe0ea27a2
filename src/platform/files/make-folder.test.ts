import { mkdtemp, rm, stat, symlink, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, expect, it } from "@jest/globals";
import { makeFolder } from "./make-folder.js";

let parent: string;
beforeAll(async () => {
  parent = await mkdtemp(join(tmpdir(), "packledger-folder-"));
});
afterAll(() => rm(parent, { recursive: true }));

it("makes what is missing on the way, with the mode that is asked for, and by several at once", async () => {
  const path = join(parent, "a", "b", "c");
  await Promise.all([makeFolder(path, 0o700), makeFolder(path, 0o700), makeFolder(join(parent, "a"), 0o700)]);
  await makeFolder(path);
  for (const made of [path, join(parent, "a", "b")]) expect((await stat(made)).mode & 0o777).toBe(0o700);
});

it("says why where none can be", async () => {
  const file = join(parent, "a-file");
  const dangling = join(parent, "dangling");
  await Promise.all([writeFile(file, ""), symlink(join(parent, "nowhere"), dangling)]);
  await expect(makeFolder(join(file, "data"))).rejects.toThrow(/ENOTDIR/);
  await expect(makeFolder(dangling)).rejects.toThrow(/EEXIST/);
  // proc(5): a folder of Linux's own, in which even root makes nothing.
  await expect(makeFolder("/proc/packledger/data")).rejects.toThrow(/ENOENT|EACCES|EROFS/);
});
