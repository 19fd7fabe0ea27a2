import { describe, expect, test } from "@jest/globals";
import { testerEstimate } from "./tester-estimate.js";

describe("one tester's repeats", () => {
  test("never make the estimate more certain than the bench", () => {
    const once = testerEstimate([{ value: 100, uncertainty: 2 }]);
    const often = testerEstimate(Array.from({ length: 50 }, () => ({ value: 100, uncertainty: 2 })));
    expect(often).toEqual(once);
    expect(once).toEqual({ value: 100, uncertainty: 2, degreesOfFreedom: null, undecidedExcess: 0 });
  });

  test("add their scatter over the root of their number", () => {
    const { value, uncertainty } = testerEstimate([
      { value: 99, uncertainty: 2 },
      { value: 101, uncertainty: 2 },
    ]);
    expect(value).toBe(100);
    expect(uncertainty).toBeCloseTo(Math.sqrt(4 + 2 / 2), 12);
  });

  test("give it few degrees of freedom where their scatter is most of it, and many where the bench is", () => {
    const runs = (uncertainty: number) => [98, 100, 102].map((value) => ({ value, uncertainty }));
    expect(testerEstimate(runs(0.001)).degreesOfFreedom).toBeCloseTo(2, 5);
    // Welch and Satterthwaite by hand: (4/3 + 5^2)^2 / ((4/3)^2 / 2).
    expect(testerEstimate(runs(5)).degreesOfFreedom).toBeCloseTo((4 / 3 + 25) ** 2 / ((4 / 3) ** 2 / 2), 9);
  });
});
