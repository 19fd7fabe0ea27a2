import { readFileSync } from "node:fs";
import { glob } from "node:fs/promises";
import { join } from "node:path";
import { beforeAll, describe, expect, it } from "@jest/globals";
import { projectRoot } from "../../src/platform/config/project-root.js";

// OWASP API Security Top 10, edition 2023: owasp.org/API-Security/editions/2023/en/0x11-t10 (titles from memory).
const ITEMS = [
  "API1 Broken Object Level Authorization",
  "API2 Broken Authentication",
  "API3 Broken Object Property Level Authorization",
  "API4 Unrestricted Resource Consumption",
  "API5 Broken Function Level Authorization",
  "API6 Unrestricted Access to Sensitive Business Flows",
  "API7 Server Side Request Forgery",
  "API8 Security Misconfiguration",
  "API9 Improper Inventory Management",
  "API10 Unsafe Consumption of APIs",
];

const page = readFileSync(join(projectRoot, "docs", "security.md"), "utf8");
const rows = new Map(
  [...page.matchAll(/^\| (API\d+ [^|]+) \| ([^|]+) \| ([^|]+) \|$/gm)].map(([, item = "", done = "", shown = ""]) => [
    item.trim(),
    { done, shown },
  ]),
);

describe("the page on security", () => {
  const named = new Map<string, string[]>();
  beforeAll(async () => {
    for (const [, path = ""] of page.matchAll(/`((?:src|test|docs)\/[\w./*-]+)`/g)) {
      const files: string[] = [];
      for await (const file of glob(path, { cwd: projectRoot })) files.push(file);
      named.set(path, files);
    }
  });

  it("goes through every item of the list", () => {
    expect([...rows.keys()]).toEqual(ITEMS);
  });

  it.each(ITEMS)("names tests that show %s, and they are there", (item) => {
    const paths = [...(rows.get(item)?.shown.matchAll(/`([^`]+\.test\.ts)`/g) ?? [])].map(([, path = ""]) => path);
    expect(paths.length).toBeGreaterThan(0);
    for (const path of paths) {
      const files = named.get(path) ?? [];
      expect([path, files.length > 0]).toEqual([path, true]);
      for (const file of files) expect(readFileSync(join(projectRoot, file), "utf8")).toMatch(/\b(it|test)(\.each)?\(/);
    }
  });

  it("names no file that is not there", () => {
    expect(named.size).toBeGreaterThan(15);
    expect([...named].filter(([, files]) => files.length === 0).map(([path]) => path)).toEqual([]);
  });
});
