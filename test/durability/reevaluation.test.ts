import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, expect, it } from "@jest/globals";
import type { INestApplicationContext } from "@nestjs/common";
import { createContext, startApp, workQueue } from "../../src/create-app.js";
import { CONFIG, type Config } from "../../src/platform/config/config.js";
import { startTestApp, type TestApp } from "../support/app.js";
import { ownerOf } from "../support/database.js";
import { League } from "./league.js";
import { Program } from "./processes.js";
import { followReevaluation, NEXT, type Trial } from "./run-reevaluation.js";
import { built, trialEnvironment } from "./trial-programs.js";

let app: TestApp;
let folder: string;
beforeAll(async () => {
  app = await startTestApp({ runsJobs: false });
  folder = await mkdtemp(join(tmpdir(), "packledger-reevaluation-"));
});
afterAll(async () => {
  await app.close();
  await rm(folder, { recursive: true, force: true });
});

/** A service that stays, while the queue is worked by a program that is killed; what comes before the first kill and after the last one is done here. */
async function startTrial(): Promise<Trial & { end(): Promise<void> }> {
  const { connectionString } = app.database;
  const config = app.nest.get<Config>(CONFIG);
  const league = new League(app.url);
  await league.signInAll(async (handle, role) => (await app.signIn(handle, role)).authorization.replace("Bearer ", ""));
  const worker = new Program(
    built("worker.js"),
    trialEnvironment(connectionString, app.url),
    join(folder, "worker.log"),
    async () => true,
  );
  let here: INestApplicationContext | null = await createContext(config, connectionString);
  await workQueue(here);
  const endHere = async () => {
    await here?.close();
    here = null;
  };
  return {
    connectionString,
    ownerConnectionString: ownerOf(connectionString),
    league,
    play: (runs) => league.play(runs),
    async begin() {
      await endHere();
      await worker.start();
    },
    kill: () => worker.kill(),
    async startAgain(isLast) {
      // A whole service: what each start asks of a record, it asks of one that is being re-evaluated.
      if (isLast) here = await startApp({ ...config, runsJobs: true }, connectionString);
      else await worker.start();
    },
    async end() {
      await worker.kill();
      await endHere();
    },
  };
}

// `npm run test:reevaluation` does many more, and kills the service with its worker.
it("a re-evaluation that is killed half-way, while it prepares and while it switches goes on where it was, and rankings switch at once", async () => {
  const trial = await startTrial();
  const kills = { evaluating: 1, places: ["preparing standings", "replacing standings"] } as const;
  const summary = await followReevaluation(trial, 12, kills).finally(() => trial.end());
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
