import { expect, it } from "@jest/globals";
import { exitCodeOf, type Outcome } from "./scenario.js";

const HELD: Outcome = {
  done: "held",
  kills: 1,
  uploads: 1,
  standings: 1,
  lost: [],
  evaluatedTwice: [],
  wrongStandings: [],
  unanswered: [],
  others: [],
  longestSeconds: 1,
};

it.each([
  ["all held", [HELD, HELD], false, 0],
  ["one was not tried", [HELD, null], false, 2],
  ["one was not tried, which is allowed", [HELD, null], true, 0],
  ["nothing was tried", [null], false, 2],
  ["an upload was lost", [HELD, { ...HELD, lost: ["a run"] }], false, 1],
  ["a standing was wrong and one was not tried", [{ ...HELD, wrongStandings: ["a pack"] }, null], true, 1],
  ["something else went wrong", [{ ...HELD, others: ["a fault"] }], true, 1],
] as const)("a try of which %s ends with its own status", (_, outcomes, mayLeaveOut, status) => {
  expect(exitCodeOf(outcomes, { mayLeaveOut })).toBe(status);
});
