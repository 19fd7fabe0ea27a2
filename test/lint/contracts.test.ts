import { execFile } from "node:child_process";
import { readdirSync } from "node:fs";
import { join } from "node:path";
import { promisify } from "node:util";
import { expect, it } from "@jest/globals";
import { RULES } from "../../src/core/protocol/rules/index.js";
import { projectRoot } from "../../src/platform/config/project-root.js";

it("has a page for every rule, and no page without one", () => {
  const pages = readdirSync(join(projectRoot, "docs", "rules")).filter((name) => name !== "README.md");
  expect(pages.map((name) => name.replace(/\.md$/, "")).sort()).toEqual([...RULES.keys()].sort());
});

it("has the contracts and the rules' pages committed as the code makes them", async () => {
  const program = join(projectRoot, "dist", "src", "contracts.js");
  await expect(promisify(execFile)(process.execPath, [program, "--check"])).resolves.toBeDefined();
});
