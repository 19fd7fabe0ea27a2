import { execFile } from "node:child_process";
import { mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { promisify } from "node:util";
import { serialize } from "node:v8";
import { expect, it } from "@jest/globals";
import { simulateRecord, THREE_TESTERS } from "../predictions/pooled-pack.js";

const TYPESCRIPT = new URL("../support/jest/typescript.js", import.meta.url).href;
const TAKEN = new URL("take-engine-functions.ts", import.meta.url).href;
const SCRIPT = fileURLToPath(new URL("without-engine-functions.ts", import.meta.url));

// ECMA-262 leaves the digits of Math.exp and its like to the engine; the rule of lint sees the core's own files, this sees its packages.
it("evaluations, standings, models, predictions and copies ask the engine for no function whose digits are its own", async () => {
  const folder = await mkdtemp(join(tmpdir(), "record-"));
  const file = join(folder, "record");
  const { facts, runs } = simulateRecord("B", "lihv", "p1", THREE_TESTERS);
  await writeFile(file, serialize({ facts, runs }));
  const { stdout } = await promisify(execFile)(process.execPath, [
    "--import",
    TYPESCRIPT,
    "--import",
    TAKEN,
    SCRIPT,
    file,
  ]);
  await rm(folder, { recursive: true });
  expect(JSON.parse(stdout)).toEqual({
    figures: expect.any(Number),
    standing: expect.objectContaining({ testers: 5, established: true }),
    still: expect.any(Number),
    copies: expect.any(Number),
    indexed: expect.any(Number),
    queried: expect.any(Number),
    holds: expect.any(Boolean),
  });
});
