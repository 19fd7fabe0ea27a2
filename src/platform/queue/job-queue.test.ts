import { setTimeout as delay } from "node:timers/promises";
import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../../test/support/app.js";
import { addJob } from "./add-job.js";
import { JobQueue } from "./job-queue.js";

let test: TestApp;
const done: unknown[] = [];
let failuresLeft = 1;
beforeAll(async () => {
  test = await startTestApp({ runsJobs: false });
  const queue = test.app.get(JobQueue);
  queue.handle("note", async (payload) => {
    done.push(payload);
  });
  queue.handle("stumble", async (payload) => {
    if (failuresLeft-- > 0) throw new Error("not yet");
    done.push(payload);
  });
  await queue.start();
});
afterAll(() => test.close());

async function untilDone(payload: object): Promise<void> {
  for (let waitedMs = 0; waitedMs < 10_000; waitedMs += 20) {
    if (done.some((item) => JSON.stringify(item) === JSON.stringify(payload))) return;
    await delay(20);
  }
  throw new Error("the job was not done");
}

describe("the queue", () => {
  it("does a job once its transaction is committed", async () => {
    await test.database.$transaction(async (tx) => {
      await addJob(tx, "note", { run: 1 }, "note 1");
      await delay(100);
      expect(done).toEqual([]);
    });
    await untilDone({ run: 1 });
  });

  it("forgets a job whose transaction is undone", async () => {
    const undone = test.database.$transaction(async (tx) => {
      await addJob(tx, "note", { run: 2 }, "note 2");
      throw new Error("undo");
    });
    await expect(undone).rejects.toThrow("undo");
    await test.database.$transaction((tx) => addJob(tx, "note", { run: 3 }, "note 3"));
    await untilDone({ run: 3 });
    expect(done).not.toContainEqual({ run: 2 });
  });

  it("tries a job again that failed", async () => {
    await test.database.$transaction((tx) => addJob(tx, "stumble", { run: 4 }, "stumble 4"));
    await untilDone({ run: 4 });
  });
});
