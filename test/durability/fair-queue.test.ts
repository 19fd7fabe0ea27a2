import { setTimeout as delay } from "node:timers/promises";
import { afterEach, beforeEach, describe, expect, it } from "@jest/globals";
import { Logger, run } from "graphile-worker";
import { EVALUATE_RUN } from "../../src/features/runs/jobs.js";
import { CONFIG, type Config } from "../../src/platform/config/config.js";
import { makePool } from "../../src/platform/database/connections/pool.js";
import { Metrics } from "../../src/platform/metrics/metrics.js";
import { addJobs } from "../../src/platform/queue/add-job.js";
import { JobQueue } from "../../src/platform/queue/job-queue.js";
import { Storage } from "../../src/platform/storage/storage.js";
import { startTestApp, type TestApp } from "../support/app.js";
import { QueuedRuns } from "../support/queued-runs.js";

let app: TestApp;
let runs: QueuedRuns;
let begun: string[];
let done: string[];
let endings: (() => Promise<unknown>)[];
let releases: (() => void)[];
beforeEach(async () => {
  app = await startTestApp({ runsJobs: false });
  runs = new QueuedRuns(app);
  await runs.addTester("anna");
  await runs.addTester("bruno");
  begun = [];
  done = [];
  endings = [];
  releases = [];
});
afterEach(async () => {
  for (const release of releases) release();
  for (const end of endings.reverse()) await end();
  await app.close();
});

/** Starts a worker that does what `work` does in place of evaluations. */
async function startWorker(work: (run: string) => Promise<void> = async () => {}, threads = 2): Promise<JobQueue> {
  const config: Config = { ...app.nest.get<Config>(CONFIG), evaluationThreads: threads };
  const queue = new JobQueue(app.database, config, app.nest.get(Storage), app.nest.get(Metrics));
  queue.handle(EVALUATE_RUN, async (payload) => {
    const run = runs.nameOf(payload);
    begun.push(run);
    await work(run);
    await runs.settle((payload as { runId: string }).runId);
    done.push(run);
  });
  queue.handle("background", async (payload) => {
    begun.push("background");
    await work("background");
    done.push(`background ${(payload as { n: number }).n}`);
  });
  await queue.start();
  endings.push(() => queue.beforeApplicationShutdown());
  return queue;
}

/** What jobs wait for; let go at the end of a test in any case, or its workers would never end. */
function held(): PromiseWithResolvers<void> {
  const awaited = Promise.withResolvers<void>();
  releases.push(awaited.resolve);
  return awaited;
}

/** Lets a worker take the next run that has no lease, as one that died has none. */
async function holdByDeadWorker(): Promise<void> {
  const taken = Promise.withResolvers<void>();
  const released = Promise.withResolvers<void>();
  const pool = makePool(app.database.connectionString, 3);
  const taskList = {
    [EVALUATE_RUN]: () => {
      taken.resolve();
      return released.promise;
    },
  };
  const logger = new Logger(() => () => undefined);
  const runner = await run({ pgPool: pool, taskList, concurrency: 1, noHandleSignals: true, logger });
  endings.push(async () => {
    released.resolve();
    await runner.stop();
    await pool.end();
  });
  await taken.promise;
}

const until = async (holds: () => boolean) => {
  while (!holds()) await delay(10);
};

/** How many of a tester's runs were begun before a run. */
const ahead = (run: string, of: string) =>
  begun.slice(0, begun.indexOf(run)).filter((one) => one.startsWith(of)).length;

describe("what one tester uploads", () => {
  it("holds up no other, whoever many workers there are", async () => {
    await runs.add("anna", 250);
    const [own = ""] = await runs.add("bruno", 1);
    await startWorker();
    await startWorker();
    await until(() => done.includes(own));
    expect(ahead(own, "anna")).toBeLessThanOrEqual(5);
    await until(() => done.length === 251);
  });

  it("holds up no other who comes while it is evaluated", async () => {
    await runs.add("anna", 60);
    await startWorker(() => delay(5));
    await until(() => done.length >= 20);
    const before = begun.length;
    const [own = ""] = await runs.add("bruno", 1);
    const whenQueued = begun.length;
    await until(() => done.includes(own));
    // What was begun while the run was being stored is not its wait.
    expect(ahead(own, "anna") - whenQueued).toBeLessThanOrEqual(5);
    expect(before).toBeGreaterThanOrEqual(20);
  });

  it("comes back in its turn when a try of it failed", async () => {
    const [own = ""] = await runs.add("bruno", 1);
    await runs.add("anna", 20);
    let failures = 1;
    const pause = held();
    await startWorker(async (run) => {
      if (run === own && failures-- > 0) throw new Error("not yet");
      if (run.startsWith("anna") && begun.length > 4) await pause.promise;
    });
    // All places are taken until the retry is due, 1 to 3 s after the failure.
    await until(() => begun.length >= 6);
    // The failure is written down a moment after it happened.
    for (let rescheduled = 0; rescheduled === 0; ) {
      const rows = await app.database.$queryRaw<{ jobs: number }[]>`
        SELECT count(*)::int AS jobs FROM graphile_worker.reschedule_jobs(
          (SELECT array_agg(id) FROM graphile_worker.jobs WHERE attempts > 0 AND locked_at IS NULL), run_at => now())`;
      rescheduled = rows[0]?.jobs ?? 0;
    }
    const before = begun.length;
    pause.resolve();
    await until(() => done.includes(own));
    expect(begun.lastIndexOf(own) - before).toBeLessThanOrEqual(3);
    await until(() => done.length === 21);
  });

  it("is taken up in its turn when its worker has died", async () => {
    const [own = ""] = await runs.add("bruno", 1);
    await holdByDeadWorker();
    await runs.add("anna", 30);
    await startWorker(() => delay(20));
    await until(() => done.includes(own));
    expect(done).not.toHaveLength(31);
    await until(() => done.length === 31);
    expect(new Set(done).size).toBe(31);
  });
});

describe("a long log", () => {
  it("leaves a place to short ones, however many long ones wait", async () => {
    await runs.add("anna", 5, { longLog: true });
    const released = held();
    const long = new Set(await runs.add("bruno", 2, { longLog: true }));
    await startWorker((run) => (run.startsWith("anna") || long.has(run) ? released.promise : Promise.resolve()));
    await until(() => begun.length === 1);
    const short = await runs.add("bruno", 20);
    await until(() => short.every((run) => done.includes(run)));
    expect(begun.filter((run) => !short.includes(run))).toHaveLength(1);
    released.resolve();
    await until(() => done.length === 27);
  });
});

describe("what nobody waits for", () => {
  it("leaves a place to uploads, and comes after them", async () => {
    const jobs = Array.from({ length: 10 }, (_, n) => ({ payload: { n }, key: `background ${n}` }));
    await app.database.$transaction((tx) => addJobs(tx, "background", jobs, "background"));
    const released = held();
    await startWorker((run) => (run === "background" ? released.promise : Promise.resolve()));
    await until(() => begun.length === 1);
    const own = await runs.add("anna", 20);
    await until(() => own.every((run) => done.includes(run)));
    expect(begun.filter((run) => run === "background")).toHaveLength(1);
    released.resolve();
    await until(() => done.length === 30);
  });

  it("is done in the end, one job a second, while uploads do not pause", async () => {
    await addOld("background");
    const released = held();
    await runs.add("anna", 30);
    // None is done before it was looked for.
    await startWorker(() => released.promise);
    while ((await advanced()).length < 2) await delay(50);
    // What has waited for less than a minute comes later, and what has for no more than that may have come by now.
    expect((await advanced()).slice(-2)).toEqual(["background 2", "background 3"]);
    released.resolve();
    await until(() => done.length === 34);
    expect(Math.max(runsBefore(3), runsBefore(2))).toBeLessThan(15);
    expect(runsBefore(0)).toBeGreaterThan(20);
  });
});

describe("what follows an upload", () => {
  it("comes after uploads, and before what nobody waits for", async () => {
    const [own = ""] = await runs.add("anna", 1);
    const of = (from: number) => [0, 1, 2].map((n) => ({ payload: { n: from + n }, key: `background ${from + n}` }));
    await app.database.$transaction((tx) => addJobs(tx, "background", of(0), "background"));
    await app.database.$transaction((tx) => addJobs(tx, "background", of(3), "follow-up"));
    await startWorker(undefined, 1);
    await until(() => done.length === 7);
    expect(done).toEqual([own, ...[3, 4, 5, 0, 1, 2].map((n) => `background ${n}`)]);
  });

  it("is done while uploads do not pause, all that has waited half a minute, and leaves a place to them", async () => {
    await addOld("follow-up");
    const [first, last] = [held(), held()];
    await runs.add("anna", 30);
    await startWorker((run) => {
      if (run !== "background") return first.promise;
      // The last of them is held: the other place goes on with runs.
      return begun.filter((one) => one === "background").length === 3 ? last.promise : Promise.resolve();
    });
    while ((await advanced()).length < 3) await delay(50);
    expect(await advanced()).toEqual(["background 1", "background 2", "background 3"]);
    first.resolve();
    await until(() => done.filter((run) => run.startsWith("anna")).length === 30);
    last.resolve();
    await until(() => done.length === 34);
    expect(Math.max(runsBefore(3), runsBefore(2))).toBeLessThan(15);
  });
});

/** Four jobs, of which the first has just come, and each other has waited as many minutes as it has for a number. */
async function addOld(priority: "background" | "follow-up"): Promise<void> {
  const jobs = [0, 1, 2, 3].map((n) => ({ payload: { n }, key: `background ${n}` }));
  await app.database.$transaction((tx) => addJobs(tx, "background", jobs, priority));
  await app.database.$queryRaw`
    SELECT graphile_worker.reschedule_jobs(array[id], run_at => now() - make_interval(mins => right(key, 1)::int)) IS NULL
    FROM graphile_worker.jobs WHERE task_identifier = 'background'`;
}

/** Those of them that come before uploads now. */
async function advanced(): Promise<string[]> {
  const rows = await app.database.$queryRaw<{ key: string }[]>`
    SELECT key FROM graphile_worker.jobs WHERE task_identifier = 'background' AND priority = 0 ORDER BY key`;
  return rows.map(({ key }) => key);
}

/** How many runs were done before one of them. */
const runsBefore = (n: number) =>
  done.slice(0, done.indexOf(`background ${n}`)).filter((run) => run.startsWith("anna")).length;
