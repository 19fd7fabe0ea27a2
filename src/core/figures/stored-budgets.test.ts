import { describe, expect, test } from "@jest/globals";
import fc from "fast-check";
import { BUDGETS_ENCODING, budgetName, decodeBudgets, encodeBudgets } from "./stored-budgets.js";

const part = fc.record({
  source: fc.oneof(fc.constantFrom("voltage gain", "current offset", "kinetics"), fc.string()),
  uncertainty: fc.double({ noNaN: true }),
});
const figures = fc.uniqueArray(
  fc.record({
    key: fc.oneof(fc.constantFrom("power-10s", "energy"), fc.string()),
    basis: fc.constantFrom("measured", "corrected", "translated"),
    load: fc.oneof(fc.constant(0), fc.double({ min: 0, noNaN: true, noDefaultInfinity: true })),
    budget: fc.array(part, { maxLength: 20 }),
  }),
  { selector: budgetName, maxLength: 120 },
);

/** The bits of a double, by which -0 and 0 differ. */
const bits = (value: number) => Buffer.from(Float64Array.of(value).buffer).toString("hex");

describe("stored budgets", () => {
  test("come back to the last bit, in the order of their parts", () => {
    fc.assert(
      fc.property(figures, (some) => {
        const back = decodeBudgets(BUDGETS_ENCODING, encodeBudgets(some));
        expect(back.size).toBe(some.length);
        for (const { budget, ...figure } of some) {
          const found = back.get(budgetName(figure));
          const exact = (parts: typeof found = []) =>
            parts.map(({ source, uncertainty }) => [source, bits(uncertainty)]);
          expect(exact(found)).toEqual(exact(budget));
        }
      }),
      { numRuns: 300 },
    );
  });

  test("of an unknown encoding or version, or cut short, are refused", () => {
    const bytes = encodeBudgets([
      { key: "energy", basis: "measured", load: 0, budget: [{ source: "clock", uncertainty: 1 / 3 }] },
    ]);
    expect(() => decodeBudgets("other", bytes)).toThrow("unknown encoding");
    expect(() => decodeBudgets(BUDGETS_ENCODING, Buffer.concat([Buffer.of(7), bytes.subarray(1)]))).toThrow(
      "version 7",
    );
    for (const length of [0, 1, 5, bytes.length - 1]) {
      expect(() => decodeBudgets(BUDGETS_ENCODING, bytes.subarray(0, length))).toThrow();
    }
  });
});
