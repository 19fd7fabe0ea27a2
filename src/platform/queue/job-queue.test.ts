import { setTimeout as delay } from "node:timers/promises";
import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../../test/support/app.js";
import { cutConnections } from "../../../test/support/database.js";
import { isDatabaseUnavailable } from "../database/errors.js";
import { addJob, MAX_ATTEMPTS } from "./add-job.js";
import { JobQueue } from "./job-queue.js";

let app: TestApp;
const done: unknown[] = [];
let failuresLeft = 1;
// More than a job has tries.
let outagesLeft = 8;
/** Tries at what always fails as if the database were away, and with what it was given up. */
let tries = 0;
const givenUp: string[] = [];
beforeAll(async () => {
  app = await startTestApp({ runsJobs: false });
  const queue = app.nest.get(JobQueue);
  queue.handle("note", async (payload) => {
    done.push(payload);
  });
  queue.handle("stumble", async (payload) => {
    if (failuresLeft-- > 0) throw new Error("not yet");
    done.push(payload);
  });
  queue.handle(
    "meet an outage",
    async (payload) => {
      if (outagesLeft-- > 0) throw new Error("Connection terminated unexpectedly");
      done.push(payload);
    },
    async () => void done.push("given up"),
  );
  queue.handle(
    "fail alone",
    async () => {
      tries++;
      throw new Error("Connection terminated unexpectedly");
    },
    async (_, failure) => void givenUp.push(String(failure)),
  );
  await queue.start();
});
afterAll(() => app.close());

async function untilDone(payload: object): Promise<void> {
  while (!done.some((item) => JSON.stringify(item) === JSON.stringify(payload))) await delay(20);
}

describe("the queue", () => {
  it("does a job once its transaction is committed", async () => {
    await app.database.$transaction(async (tx) => {
      await addJob(tx, "note", { run: 1 }, "note 1");
      await delay(100);
      expect(done).toEqual([]);
    });
    await untilDone({ run: 1 });
  });

  it("forgets a job whose transaction is undone", async () => {
    const undone = app.database.$transaction(async (tx) => {
      await addJob(tx, "note", { run: 2 }, "note 2");
      throw new Error("undo");
    });
    await expect(undone).rejects.toThrow("undo");
    await app.database.$transaction((tx) => addJob(tx, "note", { run: 3 }, "note 3"));
    await untilDone({ run: 3 });
    expect(done).not.toContainEqual({ run: 2 });
  });

  it("tries a job again that failed", async () => {
    await app.database.$transaction((tx) => addJob(tx, "stumble", { run: 4 }, "stumble 4"));
    await untilDone({ run: 4 });
  });

  it("does what somebody waits for before what can be done once nobody does", async () => {
    await app.database.$transaction(async (tx) => {
      for (const run of [21, 22, 23]) await addJob(tx, "note", { run }, `note ${run}`, "background");
      await addJob(tx, "note", { run: 24 }, "note 24");
    });
    await untilDone({ run: 23 });
    const order = done.map((one) => (one as { run: number }).run).filter((run) => run > 20);
    expect(order[0]).toBe(24);
  });

  it("goes on by itself after all its connections were cut", async () => {
    await cutConnections(app.database.connectionString);
    // What asks in this very instant still meets a cut connection, of which each asks once.
    for (let isAdded = false; !isAdded; ) {
      isAdded = await app.database
        .$transaction((tx) => addJob(tx, "note", { run: 7 }, "note 7"))
        .then(() => true, notAway);
    }
    await untilDone({ run: 7 });
  });
});

describe("a database that is away", () => {
  it("costs a job none of its tries", async () => {
    await app.database.$transaction((tx) => addJob(tx, "meet an outage", { run: 9 }, "outage 9"));
    await untilDone({ run: 9 });
    expect(done).not.toContain("given up");
  });
});

it("a job that fails as if the database were away, while that answers, is given up in the end", async () => {
  await app.database.$transaction(async (tx) => {
    await addJob(tx, "fail alone", {}, "alone");
    // Its last try.
    await tx.$queryRaw`select id from graphile_worker.reschedule_jobs(
      (select array_agg(id) from graphile_worker.jobs where key = 'alone'), attempts => ${MAX_ATTEMPTS - 1}::int)`;
  });
  while (givenUp.length === 0) await delay(20);
  expect(givenUp).toEqual(["FailsAlone: the database answers, and yet: Connection terminated unexpectedly"]);
  expect(tries).toBe(20);
});

/** Passes a failure on unless it is that the database is away. */
function notAway(error: unknown): false {
  if (!isDatabaseUnavailable(error)) throw error;
  return false;
}
