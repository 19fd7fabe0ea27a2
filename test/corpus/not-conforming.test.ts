import { readdirSync, readFileSync, statSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "@jest/globals";
import { round, withUnit } from "../../src/core/protocol/rule.js";
import { RULES } from "../../src/core/protocol/rules/index.js";
import { corpusFiles } from "./generator/not-conforming/corpus.js";
import { judged, namesIn } from "./generator/not-conforming/judge.js";

const FOLDER = join(import.meta.dirname, "not-conforming");
const NAMES = namesIn(FOLDER);
const MAX_BYTES = 50 * 1024;

test("the committed files are those that the generator writes, byte by byte, and no others (else: npm run corpus)", () => {
  const written = corpusFiles();
  expect(readdirSync(FOLDER).sort()).toEqual([...written.keys()].sort());
  for (const [name, text] of written)
    expect([name, text === readFileSync(join(FOLDER, name), "utf8")]).toEqual([name, true]);
});

test("no file is larger than 50 KiB", () => {
  expect(NAMES.filter((name) => statSync(join(FOLDER, `${name}.csv`)).size > MAX_BYTES)).toEqual([]);
});

test("every rule has a file that fails it and no other", () => {
  expect([...RULES.keys()].filter((rule) => !NAMES.includes(rule))).toEqual([]);
});

describe.each(NAMES)("%s", (name) => {
  test("fails exactly what its name says, and is told what was seen, what is asked for and what to change", async () => {
    const { failed, verdict } = await judged(FOLDER, name);
    expect(failed.map(({ rule }) => rule).sort()).toEqual(name.split("+").sort());
    expect(verdict === "nonconforming").toBe(failed.some(({ severity }) => severity === "required"));
    for (const { rule, outcome, message, limit, unit, observed } of failed) {
      expect(message.endsWith(RULES.get(rule)?.advice ?? "?")).toBe(true);
      if (outcome === "not-assessable") expect(message).toMatch(/^[A-Z][^.]+\. [A-Z]/);
      else {
        expect(message).toContain(`: ${withUnit(limit, unit)}.`);
        expect(message).toContain(withUnit(round(observed ?? Number.NaN), unit));
      }
    }
  });
});
