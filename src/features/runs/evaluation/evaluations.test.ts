import { afterAll, beforeAll, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../../../test/support/app.js";
import { uploadCase } from "../../../../test/support/uploads.js";
import { EvaluationsService } from "./evaluations.service.js";

let app: TestApp;
beforeAll(async () => {
  app = await startTestApp({ runsJobs: false, waitSeconds: 0 });
});
afterAll(() => app.close());

it("a run that two workers evaluate at the same time has one evaluation", async () => {
  const { body } = await uploadCase(app, await app.signIn("anna"), "Sprint", "too-hot");
  const service = app.nest.get(EvaluationsService);
  await Promise.all([service.evaluateRun(body.id), service.evaluateRun(body.id)]);
  expect(await app.database.evaluation.count({ where: { runId: body.id } })).toBe(1);
  expect((await app.database.run.findUniqueOrThrow({ where: { id: body.id } })).state).toBe("processed");
  await service.evaluateRun(body.id);
  expect(await app.database.evaluation.count({ where: { runId: body.id } })).toBe(1);
});
