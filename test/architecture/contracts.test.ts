import { execFile } from "node:child_process";
import { join } from "node:path";
import { promisify } from "node:util";
import { expect, it } from "@jest/globals";
import { projectRoot } from "../../src/platform/config/project-root.js";

it("has the contracts committed as the code makes them", async () => {
  const program = join(projectRoot, "dist", "src", "contracts.js");
  await expect(promisify(execFile)(process.execPath, [program, "--check"])).resolves.toBeDefined();
}, 60_000);
