import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../../test/support/app.js";
import { inRestWords } from "../../../test/support/graphql-words.js";
import { logCase, postForm, register as registerAll } from "../../../test/support/uploads.js";
import type { BenchView } from "./benches.views.js";

const bench = {
  label: "Garage",
  load: { kind: "constant-resistance" },
  voltage: { percent: 0.5, offset: 0.02 },
  current: { percent: 1, offset: 0.1 },
  temperature: { offset: 1.5 },
  clockPercent: 0.05,
  sense: { point: "lead", resistanceMilliohm: null, gaugeAwg: 12, lengthMm: 150 },
};

let app: TestApp;
let headers: { authorization: string };
beforeAll(async () => {
  app = await startTestApp();
  headers = await app.signIn("anna");
});
afterAll(() => app.close());

function register(payload: object) {
  return app.inject({ method: "POST", url: "/v1/benches", payload, headers });
}

async function pointersOf(payload: object): Promise<(string | undefined)[]> {
  const answer = await register(payload);
  expect(answer.statusCode).toBe(422);
  return answer.json<{ errors: { pointer?: string }[] }>().errors.map(({ pointer }) => pointer);
}

describe("benches", () => {
  it("give back what was registered, alike in both APIs", async () => {
    const created = (await register(bench)).json<{ id: string }>();
    expect(created).toEqual({ id: expect.any(String), ...bench, version: 1, replacedById: null });
    const fields = `id version replacedById label load { kind } voltage { percent offset } current { percent offset } temperature { offset } clockPercent
      sense { point resistanceMilliohm gaugeAwg lengthMm }`;
    const query = `query($id: ID!) { bench(id: $id) { ${fields} } }`;
    const answer = await app.graphql(query, { variables: { id: created.id }, headers });
    expect(inRestWords(answer.body.data)).toEqual({ bench: created });
  });

  it("may log no temperature", async () => {
    const { temperature, ...rest } = bench;
    expect((await register({ ...rest, label: "Cold" })).json()).toMatchObject({ temperature: null });
  });

  it("must make known the resistance of leads that the voltage is sensed past", async () => {
    expect(await pointersOf({ ...bench, label: "Leads", sense: { point: "lead", gaugeAwg: 12 } })).toEqual(["/sense"]);
    expect(
      (await register({ ...bench, label: "Leads", sense: { point: "lead", resistanceMilliohm: 2 } })).statusCode,
    ).toBe(201);
  });

  it("point at a fault inside a part", async () => {
    const faulty = { ...bench, voltage: { percent: 101, offset: 0, drift: 1 }, current: [], sense: "pack" };
    expect((await pointersOf(faulty)).sort()).toEqual(["/current", "/sense", "/voltage/drift", "/voltage/percent"]);
  });
});

describe("a bench that is stated otherwise", () => {
  const CASE = logCase("truth-4s-10hz");
  const correct = (id: string, payload: object, by = headers) =>
    app.inject({ method: "PATCH", url: `/v1/benches/${id}`, payload, headers: by });

  it("is the same bench while no run was measured on it, and always under another label", async () => {
    const made = (await register({ ...bench, label: "New" })).json<BenchView>();
    const corrected = await correct(made.id, { current: { percent: 0.5, offset: 0.02 }, reason: "Read wrongly." });
    expect(corrected.json()).toEqual({ ...made, current: { percent: 0.5, offset: 0.02 } });
    const [logged] = await app.database.auditEntry.findMany({ where: { subjectKind: "bench", subjectId: made.id } });
    expect([logged?.event, logged?.fromState, logged?.toState]).toEqual([
      "correct",
      '{"currentPercent":1,"currentOffset":0.1}',
      '{"currentPercent":0.5,"currentOffset":0.02}',
    ]);
    expect((await correct(made.id, { label: "Garage" })).statusCode).toBe(409);
    expect((await correct(made.id, { temperature: null })).json()).toMatchObject({ temperature: null, version: 1 });
    expect((await correct(made.id, { voltage: null })).statusCode).toBe(422);
    expect((await correct(made.id, {}, await app.signIn("bert"))).statusCode).toBe(404);
  });

  it("becomes another version when runs were measured on it: they keep theirs, and later ones have the newest", async () => {
    const { packId: _, ...its } = await registerAll(app, headers, "Sprint", CASE);
    const upload = async (cycles: number) => {
      const run = { protocol: "full-load", ...its, ...CASE.conditions, cycles };
      const log = new TextEncoder().encode(`${new TextDecoder().decode(CASE.log).trimEnd()}${"\n".repeat(cycles)}`);
      const { body } = await postForm(`${app.url}/v1/runs`, run, log, { headers });
      return (await app.inject({ url: `/v1/runs/${body.id}`, headers })).json<{
        bench: BenchView;
        figures: Figure[];
      }>();
    };
    type Figure = { key: string; basis: string; uncertainty: number };
    const capacity = ({ figures }: { figures: Figure[] }) =>
      figures.find(({ key, basis }) => key === "capacity" && basis !== "translated")?.uncertainty ?? Number.NaN;
    const first = await upload(1);
    const worse = { current: { percent: 1.8, offset: 0.1 } };
    const second = (await correct(its.benchId, worse)).json<BenchView>();
    expect(second).toMatchObject({ label: first.bench.label, version: 2, replacedById: null, ...worse });
    expect(second.id).not.toBe(its.benchId);
    const later = await upload(2);
    expect(later.bench).toEqual(second);
    expect(capacity(later)).toBeGreaterThan(capacity(first));
    const kept = (await app.inject({ url: `/v1/benches/${its.benchId}`, headers })).json<BenchView>();
    expect(kept).toEqual({ ...first.bench, replacedById: second.id });
    const { items } = (await app.inject({ url: "/v1/benches", headers })).json<{ items: BenchView[] }>();
    expect(items.filter(({ label }) => label === second.label).map(({ id }) => id)).toEqual([second.id]);
    expect((await correct(its.benchId, { label: "Shed" })).json()).toMatchObject({ status: 409 });
    const input = '{clockPercent: 0.02, reason: "A new logger."}';
    const mutation = `mutation { correctBench(id: "${second.id}", input: ${input}) { id version } }`;
    const { correctBench } = (await app.graphql(mutation, { headers })).body.data as { correctBench: BenchView };
    expect(correctBench.version).toBe(3);
    expect((await app.inject({ url: `/v1/benches/${its.benchId}`, headers })).json()).toMatchObject({
      replacedById: correctBench.id,
    });
  });
});
