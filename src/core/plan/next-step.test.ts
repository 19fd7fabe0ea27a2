import { describe, expect, it } from "@jest/globals";
import fc from "fast-check";
import { type DoneStep, nextStep } from "./next-step.js";

const ladder = { steps: [], estimateA: null, mostA: Number.POSITIVE_INFINITY, easyA: 44 };
const passed = (currentA: number): DoneStep => ({ currentA, passes: true });
const failed = (currentA: number): DoneStep => ({ currentA, passes: false });

describe("the next step of a ladder", () => {
  it.each([
    ["begins with an easy current of the R10 series", [], 40, "first"],
    ["rises while steps pass", [passed(40), passed(50)], 63, "higher"],
    ["falls while steps fail", [failed(80)], 50, "lower"],
    ["goes between the brackets", [passed(80), failed(125)], 100, "between"],
    ["ignores a step that passed above a failing one", [passed(200), failed(125), passed(80)], 100, "between"],
    ["is none once they are close", [passed(95), failed(100)], null, "bracketed"],
  ] as const)("%s", (_, steps, currentA, reason) => {
    expect(nextStep({ ...ladder, steps })).toEqual({ currentA, reason });
  });

  it("goes to the estimate of the heat balance where that lies inside", () => {
    const steps = [passed(80), failed(125)];
    expect(nextStep({ ...ladder, steps, estimateA: 92.3 }).currentA).toBe(92.5);
    expect(nextStep({ ...ladder, steps, estimateA: 79 }).currentA).toBe(100);
  });

  it("never asks for more than the maker's continuous current", () => {
    expect(nextStep({ ...ladder, mostA: 55, steps: [passed(50)] })).toEqual({ currentA: 55, reason: "higher" });
    expect(nextStep({ ...ladder, mostA: 55, steps: [passed(55)] })).toEqual({
      currentA: null,
      reason: "label-reached",
    });
  });

  it("brackets whatever a pack sustains, in few steps, and never leaps past what is known", () => {
    const anything = fc.record({
      limitA: fc.double({ min: 2, max: 900, noNaN: true }),
      easyA: fc.double({ min: 1, max: 500, noNaN: true }),
      mostA: fc.oneof(fc.constant(Number.POSITIVE_INFINITY), fc.double({ min: 1, max: 1_000, noNaN: true })),
    });
    fc.assert(
      fc.property(anything, ({ limitA, easyA, mostA }) => {
        const steps: DoneStep[] = [];
        for (;;) {
          const { currentA, reason } = nextStep({ ...ladder, easyA, mostA, steps });
          if (currentA === null) {
            if (reason === "label-reached") expect(steps.every(({ passes }) => passes)).toBe(true);
            break;
          }
          expect(currentA).toBeLessThanOrEqual(mostA);
          const highest = Math.max(...steps.map((step) => step.currentA));
          if (steps.length > 0) expect(currentA).toBeLessThanOrEqual(1.5 * highest);
          expect(steps.some((step) => step.currentA === currentA)).toBe(false);
          steps.push({ currentA, passes: currentA < limitA });
          expect(steps.length).toBeLessThan(40);
        }
        const highestPassing = Math.max(...steps.filter(({ passes }) => passes).map((step) => step.currentA));
        const lowestFailing = Math.min(...steps.filter(({ passes }) => !passes).map((step) => step.currentA));
        if (Number.isFinite(highestPassing) && Number.isFinite(lowestFailing)) {
          expect(lowestFailing / highestPassing).toBeLessThanOrEqual(1.1);
        }
      }),
      { seed: 11, numRuns: 500 },
    );
  });
});
