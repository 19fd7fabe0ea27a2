import { execFile } from "node:child_process";
import { join } from "node:path";
import { promisify } from "node:util";
import { expect, it } from "@jest/globals";
import { projectRoot } from "../../platform/config/project-root.js";

it("among 200 runs every altered copy is found, and no other run of their specimens or packs", async () => {
  // `npm run bench:copies` does the same with 100,000. It fails when anything was missed or wrongly found.
  const args = [join(projectRoot, "dist/bench/copies.js"), "200", "1", "8"];
  const { stdout } = await promisify(execFile)(process.execPath, args);
  expect(stdout).toMatch(/altered copies found\s+20 of 20/);
  expect(stdout).toMatch(/false alarms\s+0 in 28 searches/);
});
