import { ruleCases } from "../../../../test/support/rule-cases.js";
import { runUnderTest } from "../../../../test/support/run-under-test.js";

const WITHOUT_TEMPERATURE = { ...runUnderTest().run.trace, temperature: null };

ruleCases("temperature-logged", {
  passing: { "a log with a temperature": {} },
  failing: { "a log without one": { run: { trace: WITHOUT_TEMPERATURE } } },
  boundary: { "one channel": [{}, { run: { trace: WITHOUT_TEMPERATURE } }] },
  notAssessable: "never",
});
