import { readFile } from "node:fs/promises";
import { join } from "node:path";
import { expect, it } from "@jest/globals";
import { projectRoot } from "../../src/platform/config/project-root.js";
import { PROBLEMS } from "../../src/platform/problems/catalogue.js";

it("documents every problem as the code knows it, and no other", async () => {
  const page = await readFile(join(projectRoot, "docs", "problems.md"), "utf8");
  const rows = [...page.matchAll(/^\| `([a-z-]+)` \| (\d{3}) \| ([^|]+) \|/gm)];
  const documented = rows.map(([, code, status, title]) => ({ code, status: Number(status), title: title?.trim() }));
  const known = Object.entries(PROBLEMS).map(([code, { status, title }]) => ({ code, status, title }));
  expect(documented).toEqual(known);
});
