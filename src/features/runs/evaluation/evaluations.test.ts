import { afterAll, beforeAll, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../../../test/support/app.js";
import { uploadCase } from "../../../../test/support/uploads.js";
import { EvaluationsService } from "./evaluations.service.js";

let test: TestApp;
beforeAll(async () => {
  test = await startTestApp({ runsJobs: false });
});
afterAll(() => test.close());

it("a run that two workers evaluate at the same time has one evaluation", async () => {
  const { body } = await uploadCase(test, await test.signIn("anna"), "Sprint", "too-hot");
  const service = test.app.get(EvaluationsService);
  await Promise.all([service.evaluateRun(body.id), service.evaluateRun(body.id)]);
  expect(await test.database.evaluation.count({ where: { runId: body.id } })).toBe(1);
  expect((await test.database.run.findUniqueOrThrow({ where: { id: body.id } })).state).toBe("processed");
  await service.evaluateRun(body.id);
  expect(await test.database.evaluation.count({ where: { runId: body.id } })).toBe(1);
});
