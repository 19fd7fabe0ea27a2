import { describe, expect, test } from "@jest/globals";
import { ruleCases } from "../../../../test/support/rule-cases.js";
import { findingOf, runUnderTest } from "../../../../test/support/run-under-test.js";

ruleCases("load-steady", {
  passing: { "the declared 100 A": { conditions: { setpointA: 100 } } },
  failing: { "a declared 80 A": { conditions: { setpointA: 80 } } },
  boundary: {
    "2 % more": [{ conditions: { setpointA: 100 / 1.0199 } }, { conditions: { setpointA: 100 / 1.0201 } }],
    "2 % less": [{ conditions: { setpointA: 100 / 0.9801 } }, { conditions: { setpointA: 100 / 0.9799 } }],
  },
  notAssessable: {
    "an undeclared current": { conditions: { setpointA: null } },
    "a run of 2 s": { conditions: { setpointA: 100 }, stop: { endS: 2 } },
  },
});

// A load that is set to more than the sensor can read, and one whose set current was mistyped.
describe("a current that stands below the set one", () => {
  test("is told, with what to change", () => {
    const { outcome, message } = findingOf("load-steady", { conditions: { setpointA: 120 } });
    expect(outcome).toBe("fail");
    expect(message).toMatch(
      /; the current stands at 100 A in all \d+ samples between, below the set current of 120 A\. Required: <= 2 %\. The range of the current sensor may end there: set a wider range and test again\. If the load drew no more, declare what it drew as the set current\.$/,
    );
  });

  test("is no end of a range where it reads other numbers too, or more than what was set", () => {
    const { current } = runUnderTest().run.samples;
    const noisy = {
      conditions: { setpointA: 120 },
      samples: { current: current.map((amperes, i) => amperes - (i % 50 === 0 ? 0.01 : 0)) },
    };
    for (const changes of [noisy, { conditions: { setpointA: 80 } }]) {
      const { outcome, message } = findingOf("load-steady", changes);
      expect(outcome).toBe("fail");
      expect(message).not.toContain("stands at");
    }
  });
});
