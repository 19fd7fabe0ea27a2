import { execFile } from "node:child_process";
import { readdirSync, readFileSync } from "node:fs";
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

it("has no reference in the OpenAPI contract that leads nowhere", () => {
  const text = readFileSync(join(projectRoot, "contracts", "openapi.json"), "utf8");
  const { schemas } = (JSON.parse(text) as { components: { schemas: object } }).components;
  const named = [...text.matchAll(/"\$ref": "#\/components\/schemas\/([^"]*)"/g)].map(([, name = ""]) => name);
  expect(named.length).toBeGreaterThan(200);
  expect(named.filter((name) => !(name in schemas))).toEqual([]);
  expect([...text.matchAll(/"\$ref"/g)]).toHaveLength(named.length);
});
