import { EventEmitter } from "node:events";
import { setTimeout as delay } from "node:timers/promises";
import { afterAll, afterEach, beforeAll, describe, expect, it } from "@jest/globals";
import { Logger as QueueLogger, type Runner, run, type WorkerEvents } from "graphile-worker";
import type { Pool, QueryResult } from "pg";
import { startTestApp, type TestApp } from "../../../test/support/app.js";
import { CONFIG } from "../config/config.js";
import { makePool } from "../database/connections/pool.js";
import { Metrics } from "../metrics/metrics.js";
import { Storage } from "../storage/storage.js";
import { abandonedJobs } from "./abandoned-jobs.js";
import { addJob, MAX_ATTEMPTS } from "./add-job.js";
import { EndsWorkers, MAX_DEATHS } from "./deaths.js";
import { JobQueue } from "./job-queue.js";
import { WorkerLease } from "./worker-lease.js";
import { WorkerSession } from "./worker-session.js";

const quiet = new QueueLogger(() => () => undefined);

let app: TestApp;
const done: unknown[] = [];
/** Payloads of jobs that were given up, with why. */
const givenUp: unknown[] = [];
/** What ends what a test began, last first. */
let endings: (() => Promise<unknown>)[] = [];
beforeAll(async () => {
  app = await startTestApp({ runsJobs: false });
});
afterEach(async () => {
  for (const end of endings.reverse()) await end();
  endings = [];
});
afterAll(() => app.close());

const queueJob = (payload: object) =>
  app.database.$transaction((tx) => addJob(tx, "note", payload, JSON.stringify(payload)));

async function isQueued(payload: object): Promise<boolean> {
  const jobs = await app.database.$queryRaw<object[]>`
    select id from graphile_worker.jobs where key = ${JSON.stringify(payload)}`;
  return jobs.length > 0;
}

/** A worker that has taken the job of a payload, and is at it until the test ends; returns its id. */
async function workerHolding(payload: object): Promise<string> {
  const taken = Promise.withResolvers<void>();
  const released = Promise.withResolvers<void>();
  const named = Promise.withResolvers<string>();
  const events: WorkerEvents = new EventEmitter();
  events.once("pool:create", ({ workerPool }) => named.resolve(workerPool.id));
  const pool = makePool(app.database.connectionString, 5);
  const note = () => {
    taken.resolve();
    return released.promise;
  };
  const runner: Runner = await run({ pgPool: pool, taskList: { note }, noHandleSignals: true, logger: quiet, events });
  endings.push(async () => {
    released.resolve();
    await runner.stop();
    await pool.end();
  });
  if (!(await isQueued(payload))) await queueJob(payload);
  await taken.promise;
  return named.promise;
}

/** Another worker, which looks for what dead ones have left. */
async function heir(): Promise<WorkerLease> {
  const lease = await WorkerLease.take(app.database.connectionString, "heir");
  endings.push(() => lease.end());
  return lease;
}

async function startQueue(): Promise<void> {
  const queue = new JobQueue(app.database, app.nest.get(CONFIG), app.nest.get(Storage), app.nest.get(Metrics));
  queue.handle(
    "note",
    async (payload) => void done.push(payload),
    async (payload, failure) => void givenUp.push([payload, (failure as Error).name]),
  );
  await queue.start();
  endings.push(() => queue.beforeApplicationShutdown());
}

async function untilDone(payload: object): Promise<void> {
  for (let waitedMs = 0; waitedMs < 60_000; waitedMs += 20) {
    if (done.some((item) => JSON.stringify(item) === JSON.stringify(payload))) return;
    await delay(20);
  }
  throw new Error("the job was not done");
}

/** How many tries of a job were used, and how many are left; how long it waits, s. */
const triesOf = async (payload: object) => {
  const [job] = await app.database.$queryRaw<{ used: number; left: number; pause: number }[]>`
    select attempts as used, max_attempts - attempts as left, greatest(0, extract(epoch from run_at - now()))::float8 as pause
    from graphile_worker.jobs where key = ${JSON.stringify(payload)}`;
  if (!job) throw new Error("there is no such job");
  return job;
};

/** A job as it stands after so many deaths. */
const suppose = (payload: object, deaths: number) => app.database.$queryRaw`
  select id from graphile_worker.reschedule_jobs(
    (select array_agg(id) from graphile_worker.jobs where key = ${JSON.stringify(payload)}), max_attempts => ${MAX_ATTEMPTS + deaths}::int)`;

describe("jobs of another worker", () => {
  it("are taken up once that one has died", async () => {
    // A worker without a lease is one that died.
    await workerHolding({ run: 1 });
    await startQueue();
    await untilDone({ run: 1 });
  });

  it("are left alone while that one lives", async () => {
    const lease = await WorkerLease.take(app.database.connectionString, await workerHolding({ run: 2 }));
    await startQueue();
    // Several looks for abandoned jobs later.
    await delay(2_500);
    expect(done).not.toContainEqual({ run: 2 });
    await lease.end();
    await untilDone({ run: 2 });
  });

  it("lose none of their tries by its death, and wait for nothing after the first one", async () => {
    await workerHolding({ run: 3 });
    const lease = await heir();
    expect(await lease.releaseAbandonedJobs()).toBe(1);
    expect(await lease.releaseAbandonedJobs()).toBe(0);
    expect(await triesOf({ run: 3 })).toEqual({ used: 1, left: MAX_ATTEMPTS, pause: 0 });
    await startQueue();
    await untilDone({ run: 3 });
  });

  it("wait for longer and longer when worker after worker ended with them", async () => {
    await queueJob({ run: 6 });
    await suppose({ run: 6 }, 3);
    await workerHolding({ run: 6 });
    await (await heir()).releaseAbandonedJobs();
    const { left, pause } = await triesOf({ run: 6 });
    expect(left).toBe(MAX_ATTEMPTS + 3);
    expect(pause).toBeGreaterThan(10);
    expect(pause).toBeLessThanOrEqual(16);
  });

  it("are given up in the end, and stand among the abandoned ones", async () => {
    await queueJob({ run: 7 });
    await suppose({ run: 7 }, MAX_DEATHS - 1);
    await workerHolding({ run: 7 });
    await (await heir()).releaseAbandonedJobs();
    await app.database.$queryRaw`select graphile_worker.reschedule_jobs(
      (select array_agg(id) from graphile_worker.jobs where key = ${JSON.stringify({ run: 7 })}), run_at => now())`;
    await startQueue();
    while (givenUp.length === 0) await delay(20);
    expect(givenUp).toEqual([[{ run: 7 }, EndsWorkers.name]]);
    let listed = await abandonedJobs(app.database, 10);
    for (; listed.length === 0; listed = await abandonedJobs(app.database, 10)) await delay(20);
    const { message } = new EndsWorkers();
    expect(listed).toEqual([
      expect.objectContaining({ task: "note", failures: MAX_ATTEMPTS, deaths: MAX_DEATHS, lastError: message }),
    ]);
    expect(done).not.toContainEqual({ run: 7 });
    const text = await app.nest.get(Metrics).registry.getSingleMetricAsString("packledger_abandoned_jobs");
    expect(text).toMatch(/^packledger_abandoned_jobs\{task="note"\} 1$/m);
  });

  it("are nobody's death where the worker only lost the database, and lives", async () => {
    const former = await workerHolding({ run: 8 });
    await (await heir()).releaseAbandonedJobs([former]);
    expect(await triesOf({ run: 8 })).toEqual({ used: 0, left: MAX_ATTEMPTS, pause: 0 });
    await startQueue();
    await untilDone({ run: 8 });
  });
});

it("jobs that were queued before the database's clock was set back wait from now on as long as they were to wait then", async () => {
  await queueJob({ run: 10 });
  await app.database.$transaction((tx) =>
    addJob(tx, "nobody-does-this", {}, "later", { turn: 0, lane: null, afterSeconds: 600 }),
  );
  // As if they were queued in an hour.
  await app.database.$executeRaw`
    update graphile_worker._private_jobs set run_at = run_at + interval '1 hour', updated_at = updated_at + interval '1 hour'
    where key in (${JSON.stringify({ run: 10 })}, 'later')`;
  await startQueue();
  await untilDone({ run: 10 });
  const [job] = await app.database.$queryRaw<{ seconds: number }[]>`
    select extract(epoch from run_at - now())::float8 as seconds from graphile_worker.jobs where key = 'later'`;
  expect(job?.seconds).toBeGreaterThan(500);
  expect(job?.seconds).toBeLessThanOrEqual(600);
});

describe("a job that a worker was given in an answer that was lost", () => {
  it("counts as forgotten, unless it is being done or was given just now", async () => {
    const worker = await workerHolding({ run: 4 });
    const lease = await WorkerLease.take(app.database.connectionString, worker);
    endings.push(() => lease.end());
    const [job] = await app.database.$queryRaw<{ id: bigint }[]>`
      select id from graphile_worker.jobs where locked_by = ${worker}`;
    expect(await lease.countForgottenJobs([], 3600)).toBe(0);
    expect(await lease.countForgottenJobs([String(job?.id)], 0)).toBe(0);
    expect(await lease.countForgottenJobs([], 0)).toBe(1);
  });

  it("ends the worker's session, and the next one does it", async () => {
    const pool = makePool(app.database.connectionString, 5);
    endings.push(() => pool.end());
    const loss = losingOneJob(pool);
    const session = await WorkerSession.begin({
      pool,
      connectionString: app.database.connectionString,
      tasks: { note: async (payload) => void done.push(payload) },
      concurrency: 1,
      logger: quiet,
      forgottenAfterSeconds: 0,
    });
    await app.database.$transaction((tx) => addJob(tx, "note", { run: 5 }, "note 5"));
    await loss;
    await session.ended;
    await session.end();
    expect(done).not.toContainEqual({ run: 5 });
    await startQueue();
    await untilDone({ run: 5 });
  });
});

it("a session whose lease cannot be had says so, and leaves no failure behind that would end the process", async () => {
  const unhandled: unknown[] = [];
  const note = (error: unknown) => void unhandled.push(error);
  process.on("unhandledRejection", note);
  endings.push(async () => void process.off("unhandledRejection", note));
  const pool = makePool(app.database.connectionString, 2);
  endings.push(() => pool.end());
  const nowhere = new URL(app.database.connectionString);
  // RFC 6335, 6: port 1 is a system port, which nothing serves here.
  nowhere.port = "1";
  const options = { pool, connectionString: nowhere.href, tasks: {}, concurrency: 1, logger: quiet };
  await expect(WorkerSession.begin(options)).rejects.toMatchObject({ code: "ECONNREFUSED" });
  await new Promise(setImmediate);
  expect(unhandled).toEqual([]);
});

/** Makes the first answer that gives a job be lost on its way; settles when it was. */
function losingOneJob(pool: Pool): Promise<void> {
  const lost = Promise.withResolvers<void>();
  let isLost = false;
  pool.on("connect", (client) => {
    const query = client.query.bind(client) as (...parts: unknown[]) => Promise<QueryResult>;
    client.query = (async (...parts: unknown[]) => {
      const result = await query(...parts);
      if (isLost || result?.rows?.[0]?.locked_by === undefined) return result;
      isLost = true;
      lost.resolve();
      throw new Error("Connection terminated unexpectedly");
    }) as typeof client.query;
  });
  return lost.promise;
}
