import { describe } from "@jest/globals";
import { testCommittedResults } from "./committed-results.js";
import { testStoredBudgets } from "./stored-budgets.js";
import { testStoredTraces } from "./stored-traces.js";
import { testVerdicts } from "./verdicts.js";

// In one file, for which the demo is evaluated once.
describe("the demo's verdicts", testVerdicts);
describe("the demo's results", testCommittedResults);
describe("the demo as it is stored", () => {
  testStoredTraces();
  testStoredBudgets();
});
