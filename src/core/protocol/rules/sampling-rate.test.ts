import { ruleCases } from "../../../../test/support/rule-cases.js";
import { runUnderTest } from "../../../../test/support/run-under-test.js";

const { summary } = runUnderTest().run;

ruleCases("sampling-rate", {
  passing: { "10 Hz": { run: { summary: { ...summary, rateHz: 10 } } } },
  failing: { "1 Hz": { run: { summary: { ...summary, rateHz: 1 } } } },
  boundary: {
    "5 Hz less the jitter of a clock": [
      { run: { summary: { ...summary, rateHz: 4.9 } } },
      { run: { summary: { ...summary, rateHz: 4.89 } } },
    ],
  },
  notAssessable: "never",
});
