import { mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { gzipSync } from "node:zlib";
import { afterAll, beforeAll, expect, it } from "@jest/globals";
import { zipSync } from "fflate";
import { isLarge } from "./is-large.js";

let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), "packledger-large-"));
});
afterAll(() => rm(folder, { recursive: true }));

const text = (bytes: number) => Uint8Array.from(Buffer.alloc(bytes, "1.25,14.8,100\n"));
const SHORT = text(200_000);
const LONG = text(2_000_000);

it.each([
  ["a short text", SHORT, false],
  ["a long text", LONG, true],
  ["a short text, packed", Uint8Array.from(gzipSync(SHORT)), false],
  ["a long text that packs to little", Uint8Array.from(gzipSync(LONG)), true],
  ["a packed text that was cut", Uint8Array.from(gzipSync(SHORT)).subarray(0, 200), false],
  ["an archive of a short text", zipSync({ "log.csv": SHORT }), false],
  ["an archive of a long text", zipSync({ "log.csv": LONG }), true],
  ["an archive of what is packed", zipSync({ "log.csv.gz": Uint8Array.from(gzipSync(LONG)) }), true],
  ["what only begins like an archive", Uint8Array.from([0x50, 0x4b, 3, 4, 9, 9]), false],
  ["nothing", new Uint8Array(), false],
])("%s", async (name, bytes, expected) => {
  const path = join(folder, name);
  await writeFile(path, bytes);
  expect([await isLarge(path), await isLarge(Uint8Array.from(bytes))]).toEqual([expected, expected]);
});
