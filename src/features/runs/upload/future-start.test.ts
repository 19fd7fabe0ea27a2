import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import request from "supertest";
import { startTestApp, type TestApp } from "../../../../test/support/app.js";
import { logCase, postForm, register } from "../../../../test/support/uploads.js";

const CASE = logCase("truth-4s-10hz");
const HOUR_MS = 3_600_000;
const inHours = (hours: number) => new Date(Date.now() + hours * HOUR_MS).toISOString();

let app: TestApp;
let headers: { authorization: string };
let ids: { specimenId: string; benchId: string };
beforeAll(async () => {
  app = await startTestApp({ runsJobs: false, waitSeconds: 0 });
  headers = await app.signIn("anna");
  const { specimenId, benchId } = await register(app, headers, "Sprint", CASE);
  ids = { specimenId, benchId };
});
afterAll(() => app.close());

const run = (startedAt: string) => ({ protocol: "full-load", startedAt, ...ids, ...CASE.conditions });

describe("a test that began in the future is refused", () => {
  it("as an upload", async () => {
    for (const startedAt of ["2999-01-01T00:00:00Z", inHours(25)]) {
      const { status, body } = await postForm(`${app.url}/v1/runs`, run(startedAt), CASE.log, { headers });
      expect([status, body.errors]).toMatchObject([422, [{ pointer: "/startedAt" }]]);
    }
  });

  it("as a check", async () => {
    const pack = { ...CASE.pack, maker: "Any", name: "Any" };
    const described = { pack, bench: { ...CASE.bench, label: "Any" }, ...CASE.conditions };
    const asked = { protocol: "full-load", startedAt: inHours(25), ...described };
    const { status, body } = await postForm(`${app.url}/v1/checks`, asked, CASE.log);
    expect([status, body.errors]).toMatchObject([422, [{ pointer: "/startedAt" }]]);
  });

  it("as one of a batch", async () => {
    const manifest = { runs: [{ ...run(inHours(25)), file: "a.csv" }] };
    const { text } = await request(app.url)
      .post("/v1/runs/batch")
      .set(headers)
      .field("manifest", JSON.stringify(manifest))
      .attach("log", Buffer.from(CASE.log), { filename: "a.csv", contentType: "text/csv" });
    expect(text).toContain("startedAt");
    expect(text).toContain("must not lie in the future");
  });

  it("but not where a clock or a zone differs", async () => {
    const { status } = await postForm(`${app.url}/v1/runs`, run(inHours(23)), CASE.log, { headers });
    expect(status).toBe(202);
  });
});
