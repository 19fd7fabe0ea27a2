import { afterAll, beforeAll, expect, it } from "@jest/globals";
import { createRandom } from "../../seed/simulator/random.js";
import { CopiesService } from "../../src/features/copies/copies.service.js";
import type { EvidenceView } from "../../src/features/reviews/evidence/evidence.views.js";
import { startTestApp, type TestApp } from "../support/app.js";

import { csvOf, instants, traceOf } from "../support/traces.js";
import { logCase, postForm, register } from "../support/uploads.js";

let app: TestApp;
let anna: { authorization: string };
let mona: { authorization: string };
beforeAll(async () => {
  app = await startTestApp();
  anna = await app.signIn("anna");
  mona = await app.signIn("mona", "moderator");
});
afterAll(() => app.close());

/** A source behind a resistance, and white noise. */
function madeUp(): Uint8Array<ArrayBuffer> {
  const random = createRandom(8);
  const source = (t: number) =>
    16.7 - 0.026 * Math.min(90, Math.max(0, t)) - 1.2 * Math.exp((Math.min(t, 90) - 90) / 4);
  const amperes = (t: number) => (t >= 0 && t <= 90 ? source(t) / 0.17 : 0);
  const trace = traceOf(instants(-3, 97, 10), {
    volts: (t) => Number((source(t) - 0.01 * amperes(t) + 0.003 * random.gaussian()).toFixed(3)),
    amperes: (t) => Number((amperes(t) + 0.1 * random.gaussian()).toFixed(2)),
  });
  return Uint8Array.from(Buffer.from(csvOf(trace)));
}

async function evidenceOf(
  packName: string,
  log: Uint8Array<ArrayBuffer> | null,
  leadsMilliohm: number | null = null,
): Promise<EvidenceView> {
  const found = logCase("plain-20hz");
  const { packId: _, ...ids } = await register(app, anna, packName, found);
  if (leadsMilliohm !== null) {
    const sense = { point: "lead", resistanceMilliohm: leadsMilliohm };
    const payload = { ...found.bench, label: `Leads of ${leadsMilliohm} mohm`, sense };
    ids.benchId = (await app.inject({ method: "POST", url: "/v1/benches", payload, headers: anna })).json().id;
  }
  const run = { protocol: "full-load", startedAt: "2026-05-02T09:12:00Z", ...ids, ...found.conditions };
  const { body } = await postForm(`${app.url}/v1/runs`, run, log ?? found.log, { headers: anna });
  await app.nest.get(CopiesService).awaitCheck(body.id);
  const answer = await app.inject({ url: `/v1/reviews/${body.id}/evidence/full`, headers: mona });
  expect(answer.statusCode).toBe(200);
  return answer.json<EvidenceView>();
}

it("the evidence of a run that a simple program made says what looks made up", async () => {
  const { plausibility, run } = await evidenceOf("Sprint", madeUp());
  expect(plausibility.looksMade).toBe(true);
  expect(plausibility.signs.map(({ sign }) => sign)).toEqual(expect.arrayContaining(["no-sag", "load-still"]));
  const query = "query($id: ID!) { evidence(runId: $id) { plausibility { looksMade signs { sign weak } } } }";
  const { body } = await app.graphql(query, { variables: { id: run.id }, headers: mona });
  expect(body.data).toMatchObject({ evidence: { plausibility: { looksMade: true } } });
});

it("that of an honest run shows no sign that is not weak", async () => {
  const { plausibility } = await evidenceOf("Ridge", null);
  expect(plausibility).toMatchObject({ looksMade: false });
  expect(plausibility.signs.filter(({ weak }) => !weak)).toEqual([]);
});

it("that of a run whose leads are declared with a resistance says how much that adds, and what leads would not survive", async () => {
  const leadsOf = ({ plausibility }: EvidenceView) =>
    plausibility.signs.map(({ sign }) => sign).filter((sign) => sign.startsWith("leads-"));
  expect(leadsOf(await evidenceOf("Ledge", null, 1))).toEqual([]);
  expect(leadsOf(await evidenceOf("Crest", null, 7))).toEqual(["leads-raise-power"]);
  expect(leadsOf(await evidenceOf("Scree", null, 30))).toEqual(["leads-beyond-copper", "leads-raise-power"]);
});
