import { readFileSync } from "node:fs";
import { join } from "node:path";
import { expect, it } from "@jest/globals";
import { createConfig, lintFromString } from "@redocly/openapi-core";
import spectral from "@stoplight/spectral-core";
import rulesets from "@stoplight/spectral-rulesets";
import { projectRoot } from "../../src/platform/config/project-root.js";

const file = join(projectRoot, "contracts", "openapi.json");
const source = readFileSync(file, "utf8");

/** What linters of others warn of and what is meant so, with the reason. */
const MEANT: readonly { readonly rule: string; readonly place: RegExp; readonly reason: string }[] = JSON.parse(
  readFileSync(join(projectRoot, "contracts", "linters.json"), "utf8"),
  (name, value) => (name === "place" ? new RegExp(value) : value),
);

const isMeant = (rule: string, place: string) => MEANT.some((one) => one.rule === rule && one.place.test(place));

it("passes the recommended rules of Redocly", async () => {
  const config = await createConfig({ extends: ["recommended"] });
  const problems = await lintFromString({ source, absoluteRef: file, config });
  const found = problems.map(({ ruleId, severity, location, message }) => {
    const place = location[0]?.pointer ?? "";
    return { rule: ruleId, severity, place, message };
  });
  expect(found.filter(({ rule, place }) => !isMeant(rule, place))).toEqual([]);
}, 600_000);

/** Those are held to their schemas by test/contract/examples.test.ts, in a tenth of the time. */
const withoutExamples = (name: string, value: unknown) =>
  ["example", "examples"].includes(name) && !Array.isArray(value) ? undefined : value;

it("passes the OpenAPI rules of Spectral", async () => {
  const linter = new spectral.Spectral();
  linter.setRuleset({ extends: [rulesets.oas] } as never);
  const found = (await linter.run(JSON.parse(source, withoutExamples))).map(({ code, severity, path, message }) => {
    return { rule: String(code), severity, place: `#/${path.join("/")}`, message };
  });
  expect(found.filter(({ rule, place }) => !isMeant(rule, place))).toEqual([]);
}, 600_000);
