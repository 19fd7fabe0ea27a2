import { readFileSync } from "node:fs";
import { expect, test } from "@jest/globals";
import { goldenText } from "./golden.js";

const GOLDEN = new URL("demo.csv", import.meta.url);
/** Of the demo, beside `demo.csv`. */
export function testCommittedResults(): void {
  test("every figure and finding of the demo is the committed one, to the last digit (else: npm run golden, and read the difference)", async () => {
    const [committed, computed] = [readFileSync(GOLDEN, "utf8"), await goldenText()].map((text) => text.split("\n"));
    const changed = (committed ?? []).flatMap((row, i) =>
      row === computed?.[i] ? [] : [`- ${row}\n+ ${computed?.[i]}`],
    );
    expect(changed.slice(0, 20)).toEqual([]);
    expect(computed?.length).toBe(committed?.length);
  });
}
