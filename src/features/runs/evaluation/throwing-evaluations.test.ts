import { setTimeout as delay } from "node:timers/promises";
import { afterAll, afterEach, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../../../test/support/app.js";
import { type Answer, logCase, uploadCase } from "../../../../test/support/uploads.js";
import { Metrics } from "../../../platform/metrics/metrics.js";
import { abandonedJobs, retryAbandoned } from "../../../platform/queue/abandoned-jobs.js";
import { MAX_ATTEMPTS } from "../../../platform/queue/add-job.js";
import { LogThreads } from "./log-threads.js";

let app: TestApp;
let headers: { authorization: string };
/** Computations asked for, and what each of them does first; null for nothing. */
let computations = 0;
let first: ((nth: number) => void) | null = null;

/** Lets computations do this first from now on, and counts them anew. */
function compute(doingFirst: typeof first): void {
  computations = 0;
  first = doingFirst;
}

beforeAll(async () => {
  app = await startTestApp({ waitSeconds: 0 });
  headers = await app.signIn("anna");
  const threads = app.nest.get(LogThreads);
  const run = threads.run.bind(threads) as (...parts: unknown[]) => Promise<object>;
  threads.run = (async (...parts: unknown[]) => {
    first?.(++computations);
    return run(...parts);
  }) as typeof threads.run;
});
afterEach(() => compute(null));
afterAll(() => app.close());

/** A log of its own for each name, so that each is a run of its own. */
const upload = (name: string): Promise<Answer> => {
  const { log } = logCase("too-hot");
  return uploadCase(app, headers, "Sprint", "too-hot", Uint8Array.from([...Buffer.from(`# ${name}\n`), ...log]));
};

/** Waits until a run is in one of the states, and takes the pauses between tries out. */
async function untilState(id: string, states: readonly string[]) {
  for (;;) {
    const run = await app.database.run.findUniqueOrThrow({ where: { id } });
    if (states.includes(run.state)) return run;
    await app.database.$queryRaw`
      select graphile_worker.reschedule_jobs(array_agg(id), run_at => now())::text from graphile_worker.jobs
      where key = ${`evaluate-run:${id}`} and locked_at is null and attempts between 1 and max_attempts - 1 and run_at > now()`;
    await delay(50);
  }
}

/** The job of a run among those that were given up; waits for it, since the run is told of first. */
async function abandonedJobOf(id: string) {
  for (;;) {
    const job = (await abandonedJobs(app.database, 100)).find(({ key }) => key === `evaluate-run:${id}`);
    if (job) return job;
    await delay(20);
  }
}

const metric = (name: string) => app.nest.get(Metrics).registry.getSingleMetricAsString(`packledger_${name}`);

describe("an evaluation that throws", () => {
  it.each<[string, unknown, string]>([
    ["an error", new TypeError("x is not a function"), "x is not a function"],
    ["an error with a code of its own", Object.assign(new Error("no such file"), { code: "ENOENT" }), "no such file"],
    ["a text", "a text", ""],
    ["nothing", null, ""],
  ])(
    "of %s ends after as many tries as any job, is listed, and is done again when the operator says so",
    async (name, thrown, told) => {
      compute(() => {
        throw thrown;
      });
      const { status, body } = await upload(name);
      expect(status).toBe(202);
      const failed = await untilState(body.id, ["failed", "processed"]);
      expect(computations).toBe(MAX_ATTEMPTS);
      expect(failed.error).toEqual({
        code: "internal-error",
        message: expect.stringContaining("The service failed at this log"),
      });
      const shown = await app.inject({ url: `/v1/runs/${body.id}`, headers });
      expect(shown.json()).toMatchObject({ state: "failed", error: { code: "internal-error" } });
      const job = await abandonedJobOf(body.id);
      expect(job).toMatchObject({ task: "evaluate-run", failures: MAX_ATTEMPTS, deaths: 0 });
      expect(job.lastError).toContain(told);
      expect(await metric("abandoned_jobs")).toMatch(/^packledger_abandoned_jobs\{task="evaluate-run"\} 1$/m);

      // As under a new version of the program.
      compute(null);
      expect(await retryAbandoned(app.database, job.id)).toBe(true);
      const done = await untilState(body.id, ["processed"]);
      expect(done).toMatchObject({ state: "processed", review: "pending", error: null });
      expect(done.currentEvaluationId).not.toBeNull();
    },
  );

  it("is left alone where its run was decided on meanwhile", async () => {
    compute(() => {
      throw new Error("unexpected");
    });
    const { body } = await upload("withdrawn");
    await untilState(body.id, ["failed"]);
    const { id } = await abandonedJobOf(body.id);
    const withdrawn = await app.inject({ method: "DELETE", url: `/v1/runs/${body.id}`, headers });
    expect(withdrawn.statusCode).toBeLessThan(300);
    computations = 0;
    await retryAbandoned(app.database, id);
    for (let left = 1; left > 0; await delay(20)) {
      left = (await app.database.$queryRaw<object[]>`select id from graphile_worker.jobs where id = ${id}::bigint`)
        .length;
    }
    expect(computations).toBe(0);
    expect((await app.database.run.findUniqueOrThrow({ where: { id: body.id } })).state).toBe("failed");
  });

  it("because the database is away costs none of the tries", async () => {
    const away = Object.assign(new Error("connect ECONNREFUSED"), { code: "ECONNREFUSED" });
    compute((nth) => {
      if (nth <= MAX_ATTEMPTS + 1) throw away;
    });
    const before = await metric("failed_job_attempts_total");
    const { body } = await upload("away");
    for (let state = ""; state !== "processed"; await delay(50)) {
      ({ state } = await app.database.run.findUniqueOrThrow({ where: { id: body.id } }));
      expect(state).not.toBe("failed");
    }
    expect(computations).toBe(MAX_ATTEMPTS + 2);
    expect(await metric("failed_job_attempts_total")).toBe(before);
  });
});
