import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import type { EvidenceView } from "../../src/features/reviews/evidence/evidence.views.js";
import { startTestApp, type TestApp } from "../support/app.js";
import { uploadDemoRun } from "../support/demo-run.js";

type Headers = { authorization: string };

let app: TestApp;
let mona: Headers;
beforeAll(async () => {
  app = await startTestApp();
  mona = await app.signIn("mona", "moderator");
});
afterAll(() => app.close());

const ask = (method: "GET" | "POST", url: string, headers: Headers, payload?: object) =>
  app.inject({ method, url, headers, ...(payload ? { payload } : {}) });
const accept = async (id: string) =>
  expect(
    (await ask("POST", `/v1/runs/${id}/reviews`, mona, { decision: "accept", rules: [], note: "Fine." })).statusCode,
  ).toBe(201);
const riskOf = async (id: string) =>
  (await ask("GET", `/v1/reviews/${id}/evidence/full`, mona)).json<EvidenceView>().risk;
const departuresOf = async (id: string) =>
  (await ask("GET", `/v1/reviews/${id}/evidence/full`, mona)).json<EvidenceView>().departures;

// The demo's pack "Ridge": one run each by four testers that agree, and one by a fifth on a pack of 8 degC, whose
// resistance is higher and power lower by what its model says of the cold.
describe("a moderator who looks at a run of a pack that others have tested", () => {
  it("is told how far it lies from them, once there are three accepted runs of two other testers", async () => {
    const honest = await uploadDemoRun(app, await app.signIn("slipstream"), "run-09");
    const first = await uploadDemoRun(app, await app.signIn("keelbench"), "run-06");
    await accept(first);
    await accept(await uploadDemoRun(app, await app.signIn("gravelnotes"), "run-07"));
    expect((await departuresOf(honest)).items).toEqual([]);

    const last = await uploadDemoRun(app, await app.signIn("tidewatch"), "run-08");
    const acceptedAt = Date.now();
    await accept(last);
    const { at, items } = await departuresOf(honest);
    expect([Date.parse(at) >= acceptedAt, Date.parse(at) <= Date.now()]).toEqual([true, true]);
    // RFC 9110, 13.1.2: what has not changed is not sent again.
    const full = `/v1/reviews/${honest}/evidence/full`;
    const etag = String((await ask("GET", full, mona)).headers.etag);
    const again = await app.inject({ url: full, headers: { ...mona, "if-none-match": etag } });
    expect([again.statusCode, again.body]).toEqual([304, ""]);
    expect(items.map(({ figure }) => figure)).toEqual(
      expect.arrayContaining(["power-10s", "capacity", "resistance-10s"]),
    );
    for (const { figure, runs, testers, far } of items)
      expect([figure, runs, testers, far]).toEqual([figure, 3, 3, false]);

    const coldId = await uploadDemoRun(app, await app.signIn("hairpin"), "run-36");
    expect(await riskOf(honest)).toMatchObject({ outlier: false, affectsRanking: true });
    // It does not conform: whatever it found, it cannot come into a ranking.
    expect(await riskOf(coldId)).toMatchObject({ outlier: true, affectsRanking: false });
    const cold = await departuresOf(coldId);
    const resistance = cold.items.find(({ figure }) => figure === "resistance-10s");
    expect(resistance).toMatchObject({ unit: "mohm", runs: 3, testers: 3, far: true });
    expect(resistance?.value).toBeGreaterThan(resistance?.median ?? Number.NaN);
    expect(Math.abs(cold.items[0]?.z ?? 0)).toBeGreaterThanOrEqual(Math.abs(resistance?.z ?? Number.NaN));

    // No run is set against itself: beside that of keelbench there are two others, which are too few.
    expect((await departuresOf(first)).items).toEqual([]);
  });

  it("reads the same in GraphQL", async () => {
    const [run] = (await ask("GET", "/v1/reviews", mona)).json<{ items: { id: string }[] }>().items;
    const { body } = await app.graphql(
      "query($id: ID!) { evidence(runId: $id) { departures { at items { figure value median spread runs testers z far } } } }",
      { variables: { id: run?.id }, headers: mona },
    );
    expect(body.errors).toBeUndefined();
  });
});
