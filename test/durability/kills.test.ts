import { expect, it } from "@jest/globals";
import { runKills } from "./run-kills.js";

// `npm run test:kills` does many more.
it("a kill of any process at any instant loses no upload, and every run is evaluated once", async () => {
  const summary = await runKills({ kills: 4, seed: 20_261_125 });
  expect(summary).toMatchObject({
    kills: 4,
    lost: [],
    changed: [],
    unfinished: [],
    evaluatedTwice: [],
    jobsLeft: 0,
    serverErrors: 0,
  });
  expect(summary.acknowledged).toBeGreaterThan(0);
});
