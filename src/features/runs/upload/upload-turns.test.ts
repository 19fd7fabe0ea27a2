import { setTimeout as delay } from "node:timers/promises";
import { afterAll, beforeAll, beforeEach, describe, expect, it } from "@jest/globals";
import request from "supertest";
import { startTestApp, type TestApp } from "../../../../test/support/app.js";
import { logCase, register, uploadCase } from "../../../../test/support/uploads.js";
import { CONFIG } from "../../../platform/config/config.js";
import { EvaluationsService } from "../evaluation/evaluations.service.js";

/** How long answers wait in vain, s: nothing is evaluated but by the tests. */
const SHORT = 0.2;
const LONG = 3_600;

let app: TestApp;
let config: { waitSeconds: number };
beforeAll(async () => {
  app = await startTestApp({ runsJobs: false });
  config = app.nest.get(CONFIG);
});
beforeEach(() => {
  config.waitSeconds = SHORT;
});
afterAll(() => app.close());

const idsOf = async (handle: string) => {
  const runs = await app.database.run.findMany({
    where: { tester: { handle } },
    select: { id: true },
    orderBy: { id: "asc" },
  });
  return runs.map(({ id }) => id);
};
async function evaluated(handle: string, count: number): Promise<void> {
  let ids = await idsOf(handle);
  for (; ids.length < count; ids = await idsOf(handle)) await delay(20);
  for (const id of ids) await app.nest.get(EvaluationsService).evaluateRun(id);
}

describe("a tester whose last run waits to be evaluated", () => {
  it.each([
    ["run", "anna", "bruno"],
    ["batch", "clara", "dora"],
  ])("waits with the next %s until it is, while others go on", async (what, handle, other) => {
    const [headers, othersHeaders] = [await app.signIn(handle), await app.signIn(other)];
    const found = logCase("short-dip");
    const { packId: _, ...ids } = await register(app, headers, handle, found);
    expect((await uploadCase(app, headers, handle, "too-hot")).status).toBe(202);
    config.waitSeconds = LONG;
    const manifest = { runs: [{ file: "dip.csv", protocol: "full-load", ...ids, ...found.conditions }] };
    const batch = () =>
      request(app.url)
        .post("/v1/runs/batch")
        .set(headers)
        .attach("log", Buffer.from(found.log), { filename: "dip.csv", contentType: "text/csv" })
        .field("manifest", JSON.stringify(manifest))
        .then(({ status }) => status);
    const run = () => uploadCase(app, headers, handle, "short-dip").then(({ status }) => status);
    const next = what === "batch" ? batch() : run();
    const others = uploadCase(app, othersHeaders, other, "lead-declared");
    await evaluated(other, 1);
    expect((await others).status).toBe(201);
    expect(await idsOf(handle)).toHaveLength(1);
    await evaluated(handle, 1);
    await evaluated(handle, 2);
    expect(await next).toBe(what === "batch" ? 200 : 201);
  });

  it("waits twice as long at most as an answer does", async () => {
    const headers = await app.signIn("eva");
    await uploadCase(app, headers, "Slow", "too-hot");
    const begun = performance.now();
    expect((await uploadCase(app, headers, "Slow", "short-dip")).status).toBe(202);
    expect(performance.now() - begun).toBeGreaterThan(3 * 1000 * SHORT);
    expect(await idsOf("eva")).toHaveLength(2);
  });
});
