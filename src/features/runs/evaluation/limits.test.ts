import { afterAll, beforeAll, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../../../test/support/app.js";
import { logCase, postForm, uploadCase } from "../../../../test/support/uploads.js";
import { REMOVE_LOG } from "../jobs.js";

let app: TestApp;
beforeAll(async () => {
  // Less than a thread needs to load the computation.
  app = await startTestApp({ evaluationSeconds: 0.005 });
});
afterAll(() => app.close());

it("a check that takes longer than the limit is refused, and says what to change", async () => {
  const { log, pack, bench, conditions } = logCase("too-hot");
  const asked = { protocol: "full-load", pack: { ...pack, maker: "Any", name: "Any" }, ...conditions };
  const { status, body } = await postForm(`${app.url}/v1/checks`, { ...asked, bench: { ...bench, label: "Any" } }, log);
  expect([status, body.type]).toEqual([422, "/problems/log-time-limit"]);
  expect(body.detail).toContain("Lower the logging rate");
});

it("a run that takes longer than the limit has failed, is kept, and is not tried again by itself", async () => {
  const headers = await app.signIn("anna");
  const { status, body } = await uploadCase(app, headers, "Sprint", "too-hot");
  expect([status, body.type]).toEqual([422, "/problems/log-time-limit"]);
  const run = await app.inject({ url: `/v1/runs/${body.runId}`, headers });
  expect(run.json()).toMatchObject({ state: "failed", error: { code: "log-time-limit" }, figures: [] });
  // What is left to do is to remove the log, a day later, and to see whether anything in the queue is scored otherwise.
  const jobs = await app.database.$queryRaw<unknown[]>`
    SELECT id FROM graphile_worker.jobs WHERE task_identifier NOT IN (${REMOVE_LOG}, 'score-queue')`;
  expect(jobs).toEqual([]);
});
