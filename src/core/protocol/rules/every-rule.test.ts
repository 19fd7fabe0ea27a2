import { readdirSync, readFileSync } from "node:fs";
import { expect, test } from "@jest/globals";
import { RULES } from "./index.js";

const FOLDER = new URL("./", import.meta.url);
const files = readdirSync(FOLDER).filter(
  (name) => name.endsWith(".ts") && !["index.ts", "every-rule.test.ts"].includes(name),
);
const rules = files.filter((name) => !name.endsWith(".test.ts"));

test("every rule has a file of its name, and every file is a rule", () => {
  expect(rules.map((name) => name.replace(/\.ts$/, "")).sort()).toEqual([...RULES.keys()].sort());
});

test("every rule is tested passing, failing, at its boundary and not assessable", () => {
  // `ruleCases` takes nothing less than all four: its type and its first test hold that.
  const untested = [...RULES.keys()].filter(
    (id) =>
      !files.includes(`${id}.test.ts`) ||
      !readFileSync(new URL(`${id}.test.ts`, FOLDER), "utf8").includes(`ruleCases("${id}", {`),
  );
  expect(untested).toEqual([]);
});

test("every rule says what it observes, why, and what to change, in sentences", () => {
  for (const { id, observes, why, advice, limits } of RULES.values()) {
    expect([id, [observes, why, advice].filter((words) => !/^[A-Z0-9].*\.$/s.test(words))]).toEqual([id, []]);
    expect([id, Object.keys(limits).length > 0]).toEqual([id, true]);
  }
});
