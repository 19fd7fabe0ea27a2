import { afterAll, beforeAll, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../../../test/support/app.js";
import { uploadCase } from "../../../../test/support/uploads.js";
import { until } from "../../../../test/support/webhook-receiver.js";
import { OutdatedRunsService } from "./outdated-runs.service.js";

type Headers = { authorization: string };

let app: TestApp;
let tilda: Headers;
let mona: Headers;
beforeAll(async () => {
  app = await startTestApp();
  tilda = await app.signIn("tilda");
  mona = await app.signIn("mona", "moderator");
});
afterAll(() => app.close());

const ask = async (method: "POST" | "PATCH" | "DELETE", url: string, headers: Headers, payload?: object) => {
  const answer = await app.inject({ method, url, headers, ...(payload ? { payload } : {}) });
  if (answer.statusCode >= 300) throw new Error(`${method} ${url}: ${answer.body}`);
};

/** The specific energy under its own load by which a run counts, Wh/kg, and whether it waits for another evaluation. */
async function stateOf(runId: string) {
  const run = await app.database.run.findUniqueOrThrow({
    where: { id: runId },
    include: { specimen: { include: { pack: true } } },
  });
  const figure = await app.database.figure.findFirstOrThrow({
    where: { evaluationId: run.currentEvaluationId ?? "", key: "specific-energy", basis: { not: "translated" } },
  });
  return { outdated: run.outdated, energy: figure.value, pack: run.specimen.pack };
}

async function accepted(name: string, log: string): Promise<string> {
  const { id } = (await uploadCase(app, tilda, name, log)).body;
  await ask("POST", `/v1/runs/${id}/reviews`, mona, { decision: "accept", rules: [], note: "Looked at." });
  return id;
}

// Its figures were seen, so that it stays in its tester's means: with what is registered of its pack now.
it("a run that was withdrawn is evaluated anew when its pack is corrected", async () => {
  const runId = await accepted("Sprint", "plain-20hz");
  await ask("DELETE", `/v1/runs/${runId}`, tilda);
  const { energy: before, pack } = await stateOf(runId);
  await ask("PATCH", `/v1/packs/${pack.id}`, mona, {
    massGrams: 2 * (pack.massGrams ?? Number.NaN),
    reason: "Weighed.",
  });
  const { energy } = await until(
    () => stateOf(runId),
    (state) => !state.outdated && state.energy !== before,
  );
  expect(energy).toBeCloseTo(before / 2, 9);
});

// Else a correction would be a way out of a mean: withdrawn at the right moment, the run would count nowhere for good.
it("a run that is withdrawn while it waits for that is evaluated anew as well", async () => {
  const runId = await accepted("Ketch", "truth-4s-10hz");
  await app.database.run.update({ where: { id: runId }, data: { outdated: true } });
  await ask("DELETE", `/v1/runs/${runId}`, tilda);
  await app.nest.get(OutdatedRunsService).evaluate(runId);
  expect((await stateOf(runId)).outdated).toBe(false);
});
