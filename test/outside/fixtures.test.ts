import { readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "@jest/globals";
import { fixtureFiles } from "./fixture-files.js";

const read = (name: string) => readFileSync(join(import.meta.dirname, "fixtures", name), "utf8");

test("the simulator still writes the committed logs, byte by byte", () => {
  for (const [name, text] of fixtureFiles()) expect([name, text === read(name)]).toEqual([name, true]);
});

// Two implementations of docs/definitions.md in two languages, one on the noise-free solution, one on its log.
describe("the oracle's figures of a 10 Hz log and the noise-free figures", () => {
  const truth: Record<string, number> = JSON.parse(read("truth-4s-10hz.truth.json")).own;
  const oracle: Record<string, { value: number }> = JSON.parse(read("truth-4s-10hz.oracle.json")).figures;

  test("have the same keys", () => expect(Object.keys(oracle).sort()).toEqual(Object.keys(truth).sort()));

  test.each(Object.entries(truth))("%s agrees within 0.5 %, resistance within 5 %", (key, value) => {
    const limit = key.startsWith("resistance") ? 0.05 : 0.005;
    expect(Math.abs((oracle[key]?.value as number) / value - 1)).toBeLessThan(limit);
  });
});
