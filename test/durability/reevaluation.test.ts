import { expect, it } from "@jest/globals";
import { NEXT, runReevaluation } from "./run-reevaluation.js";

// `npm run test:reevaluation` does many more.
it("a re-evaluation that is killed half-way, while it prepares and while it switches goes on where it was, and rankings switch at once", async () => {
  const summary = await runReevaluation(12, { evaluating: 1, places: ["preparing standings", "replacing standings"] });
  expect(summary).toMatchObject({
    runs: 12,
    versionsAtPlaces: [
      ["preparing standings", NEXT.version - 1],
      ["replacing standings", NEXT.version - 1],
    ],
    ranked: { mixed: 0 },
    evaluatedOtherwise: 0,
    notSwitched: 0,
    revoked: [3, 3],
    effectsAsForetold: true,
    jobsLeft: 0,
  });
  const [[done, doneAfter]] = summary.doneAtKills as [[number, number]];
  expect(done).toBeGreaterThanOrEqual(6);
  expect(doneAfter).toBeGreaterThanOrEqual(done);
  expect(summary.ranked.before).toBeGreaterThan(0);
  expect(summary.standingsChanged).toBeGreaterThan(0);
});
