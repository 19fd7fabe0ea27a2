import { setTimeout as delay } from "node:timers/promises";
import { afterAll, beforeAll, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../../../test/support/app.js";
import { RandomHistory } from "../../../../test/support/random-history.js";
import { createApp, workQueue } from "../../../create-app.js";
import { CONFIG } from "../../../platform/config/config.js";
import { JobQueue } from "../../../platform/queue/job-queue.js";
import { SCORE_QUEUE, ScoresRepository } from "./scores.repository.js";

let app: TestApp;
let packId: string;
let byId: string;
beforeAll(async () => {
  app = await startTestApp();
  const history = await RandomHistory.begin(app, 4);
  await history.measureAll();
  for (let i = 0; i < 3; i++) await history.addWaiting();
  packId = (await app.database.reviewScore.findFirstOrThrow()).packId;
  byId = (await app.database.account.findFirstOrThrow({ where: { handle: "mona" } })).id;
});
afterAll(() => app.close());

const isLeft = () => app.nest.get(ScoresRepository).isLeft();
async function scored(): Promise<void> {
  while (await isLeft()) await delay(20);
}

/** Confirms a pack or takes that back, so that its waiting runs are to be scored. */
async function change(): Promise<boolean> {
  const { confirmedAt } = await app.database.pack.findUniqueOrThrow({ where: { id: packId } });
  const data = confirmedAt
    ? { confirmedAt: null, confirmedById: null }
    : { confirmedAt: new Date(), confirmedById: byId };
  await app.database.pack.update({ where: { id: packId }, data });
  return confirmedAt === null;
}

const isUnconfirmed = async () => {
  const rows = await app.database.reviewScore.findMany({ where: { packId } });
  return rows.map(({ parts }) => (parts as { unconfirmedPack: boolean }).unconfirmedPack);
};

const jobs = async () => {
  const [row] = await app.database.$queryRaw<{ count: number }[]>`
    SELECT count(*)::int AS count FROM graphile_worker.jobs WHERE task_identifier = ${SCORE_QUEUE}`;
  return row?.count ?? 0;
};

it("is one job for all that changes while no worker comes to it, and what came last counts", async () => {
  await scored();
  // As where evaluations have every place: jobs are queued and none is taken.
  await app.database
    .$executeRaw`SELECT graphile_worker.add_job(${SCORE_QUEUE}, '{}'::json, run_at => now() + interval '1 day', job_key => ${SCORE_QUEUE})`;
  let isConfirmed = false;
  for (let i = 0; i < 25; i++) {
    isConfirmed = await change();
    if (i % 8 === 0) await delay(1_100);
  }
  await delay(1_500);
  expect(await isLeft()).toBe(true);
  expect(await jobs()).toBe(1);
  await app.database.$executeRaw`SELECT graphile_worker.reschedule_jobs(ARRAY(SELECT id FROM graphile_worker.jobs
    WHERE task_identifier = ${SCORE_QUEUE}), run_at => now())`;
  await scored();
  expect(new Set(await isUnconfirmed())).toEqual(new Set([!isConfirmed]));
});

it("waits behind no job that was given up", async () => {
  await scored();
  await app.database
    .$executeRaw`SELECT graphile_worker.add_job(${SCORE_QUEUE}, '{}'::json, run_at => now() + interval '1 day', max_attempts => 1, job_key => ${SCORE_QUEUE})`;
  await app.database.$executeRaw`SELECT graphile_worker.permanently_fail_jobs(ARRAY(SELECT id FROM graphile_worker.jobs
    WHERE task_identifier = ${SCORE_QUEUE}), 'by a test')`;
  const isConfirmed = await change();
  await scored();
  expect(new Set(await isUnconfirmed())).toEqual(new Set([!isConfirmed]));
});

it("is queued when the connection comes back over which a change would have been told", async () => {
  await scored();
  const ended = await app.database.$queryRaw<object[]>`
    WITH changed AS (UPDATE pack SET confirmed_at = CASE WHEN confirmed_at IS NULL THEN now() END,
      confirmed_by_id = CASE WHEN confirmed_at IS NULL THEN ${byId}::uuid END WHERE id = ${packId}::uuid)
    SELECT pg_terminate_backend(pid, 5000) FROM pg_stat_activity WHERE datname = current_database() AND query = 'LISTEN packledger'`;
  expect(ended.length).toBeGreaterThan(0);
  await scored();
  const { confirmedAt } = await app.database.pack.findUniqueOrThrow({ where: { id: packId } });
  expect(new Set(await isUnconfirmed())).toEqual(new Set([confirmedAt === null]));
});

it("is queued by a worker that begins after the change", async () => {
  await scored();
  await app.nest.get(JobQueue).beforeApplicationShutdown();
  const config = { ...app.nest.get(CONFIG), poolerUrl: null };
  const isConfirmed = await change();
  await delay(1_500);
  expect(await isLeft()).toBe(true);
  // What the first service queued is lost, as when it had not been there.
  await app.database.$executeRaw`SELECT graphile_worker.complete_jobs(ARRAY(SELECT id FROM graphile_worker.jobs))`;
  const worker = await createApp(config, app.database.connectionString);
  try {
    await workQueue(worker);
    await scored();
    expect(new Set(await isUnconfirmed())).toEqual(new Set([!isConfirmed]));
  } finally {
    await worker.close();
  }
});
