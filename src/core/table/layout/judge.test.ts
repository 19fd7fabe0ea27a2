import { expect, test } from "@jest/globals";
import fc from "fast-check";
import { parseLooseNumber } from "../cells/loose-number.js";
import { isDate, isTime } from "../cells/time-text.js";
import { numberIn, sortOf } from "./judge.js";

const MARKS = [".", ","] as const;
const digits = fc.stringMatching(/^\d{0,9}$/);
const numbers = fc
  .tuple(fc.constantFrom("", "-", "+"), digits, fc.constantFrom("", ".", ","), digits)
  .map((parts) => parts.join(""))
  .filter((text) => /\d/.test(text));

test("a number of digits and at most one mark reads under either mark as people write numbers, and is no date or time", () => {
  fc.assert(
    fc.property(numbers, fc.constantFrom(...MARKS), (text, mark) => {
      const loose = parseLooseNumber(text, mark)?.value ?? Number.NaN;
      expect(isTime(text) || isDate(text)).toBe(false);
      expect([text, sortOf(text, mark)]).toEqual([text, Number.isFinite(loose) ? "readable" : "text"]);
      expect([text, numberIn(text, mark)]).toEqual([text, loose]);
    }),
    { numRuns: 2000, seed: 7 },
  );
});
