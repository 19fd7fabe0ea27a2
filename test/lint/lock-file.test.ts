import { readFileSync } from "node:fs";
import { join } from "node:path";
import { expect, it } from "@jest/globals";
import { projectRoot } from "../../src/platform/config/project-root.js";

interface LockedPackage {
  readonly integrity?: string;
  readonly resolved?: string;
  readonly deprecated?: string;
}

const read = (file: string) => JSON.parse(readFileSync(join(projectRoot, file), "utf8"));

it("every package is held to its SHA-512 and to the registry, and none of them is deprecated", () => {
  const { packages } = read("package-lock.json") as { packages: Record<string, LockedPackage> };
  const others = Object.entries(packages).filter(([path]) => path !== "");
  expect(others.length).toBeGreaterThan(100);
  const wrong = others.filter(
    ([, { integrity, resolved, deprecated }]) =>
      !integrity?.startsWith("sha512-") ||
      /^(?!https:\/\/registry\.npmjs\.org\/)/.test(resolved ?? "https://registry.npmjs.org/") ||
      deprecated,
  );
  expect(wrong.map(([path]) => path)).toEqual([]);
});

it("every package that the project asks for has one version and no range", () => {
  const { dependencies, devDependencies } = read("package.json") as Record<string, Record<string, string>>;
  for (const [name, version] of Object.entries({ ...dependencies, ...devDependencies })) {
    expect([name, version]).toEqual([name, expect.stringMatching(/^\d+\.\d+\.\d+(-[\w.]+)?$/)]);
  }
});
