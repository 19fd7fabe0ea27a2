import { expect, test } from "@jest/globals";
import { findingOf, runUnderTest } from "../../../../test/support/run-under-test.js";

test("a log with a temperature passes, one without fails", () => {
  expect(findingOf("temperature-logged").outcome).toBe("pass");
  const { trace } = runUnderTest().run;
  expect(findingOf("temperature-logged", { run: { trace: { ...trace, temperature: null } } }).outcome).toBe("fail");
});
