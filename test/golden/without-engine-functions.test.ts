import { execFile } from "node:child_process";
import { fileURLToPath } from "node:url";
import { promisify } from "node:util";
import { expect, it } from "@jest/globals";

const TYPESCRIPT = new URL("../support/jest/typescript.js", import.meta.url).href;
const SCRIPT = fileURLToPath(new URL("without-engine-functions.ts", import.meta.url));

// ECMA-262 leaves the digits of Math.exp and its like to the engine; the rule of lint sees the core's own files, this sees its packages.
it("evaluations, standings, models, predictions and copies ask the engine for no function whose digits are its own", async () => {
  const { stdout } = await promisify(execFile)(process.execPath, ["--import", TYPESCRIPT, SCRIPT]);
  expect(JSON.parse(stdout)).toEqual({
    figures: expect.any(Number),
    standing: expect.objectContaining({ testers: 5, established: true }),
    still: expect.any(Number),
    copies: expect.any(Number),
    lasts: expect.any(Boolean),
  });
});
