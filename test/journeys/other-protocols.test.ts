import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import type { StandingView } from "../../src/features/rankings/rankings.views.js";
import { startTestApp, type TestApp } from "../support/app.js";
import { productOf } from "../support/facts.js";
import { inRestWords } from "../support/graphql-words.js";
import { type Answer, logCase, postForm, register } from "../support/uploads.js";

let app: TestApp;
let headers: { authorization: string };
let moderator: { authorization: string };
beforeAll(async () => {
  app = await startTestApp();
  headers = await app.signIn("anna");
  moderator = await app.signIn("mona", "moderator");
});
afterAll(() => app.close());

async function upload(protocol: string, caseName: string, changes: object = {}): Promise<Answer> {
  const found = logCase(caseName);
  const { packId: _, ...ids } = await register(app, headers, "Lagoon", found);
  return postForm(`${app.url}/v1/runs`, { protocol, ...ids, ...found.conditions, ...changes }, found.log, { headers });
}

async function accept({ body }: Answer): Promise<void> {
  const payload = { decision: "accept", rules: [], note: "Looked at." };
  const answer = await app.inject({ method: "POST", url: `/v1/runs/${body.id}/reviews`, payload, headers: moderator });
  expect(answer.statusCode).toBe(201);
}

const ranking = async (figure: string, query = "") =>
  (await app.inject({ url: `/v1/rankings/${figure}?standing=all${query}` })).json<{
    items: StandingView[];
    detail: string;
  }>();

describe("a tester measures the resistance from two pulses", () => {
  let run: Answer;

  it("declares the state of charge, and the run conforms and shows it in both APIs", async () => {
    run = await upload("two-pulse", "two-pulse-50hz");
    expect([run.status, run.body.conformance.verdict]).toEqual([201, "conforming"]);
    expect(run.body).toMatchObject({ stateOfChargePercent: 60 });
    const query = "query($id: ID!) { run(id: $id) { stateOfChargePercent } }";
    const { body } = await app.graphql(query, { variables: { id: run.body.id }, headers });
    expect(body.data).toEqual({ run: { stateOfChargePercent: 60 } });
  });

  it("is told of a state of charge that differs from what is stored, or is none", async () => {
    const changed = await upload("two-pulse", "two-pulse-50hz", { stateOfChargePercent: 50 });
    expect([changed.status, changed.body.type]).toEqual([409, "/problems/already-exists"]);
    const wrong = await upload("two-pulse", "two-pulse-10hz-lead", { stateOfChargePercent: 101 });
    expect([wrong.status, wrong.body.errors.map(({ pointer }) => pointer)]).toEqual([422, ["/stateOfChargePercent"]]);
  });

  it("does not conform without it, in a check as in a run", async () => {
    const { log, conditions, ...facts } = logCase("two-pulse-10hz-lead");
    const pack = productOf("Lagoon", facts.pack);
    const bench = { label: "Bench", ...facts.bench };
    const check = async (declared: object) => {
      const answer = await postForm(`${app.url}/v1/checks`, { protocol: "two-pulse", pack, bench, ...declared }, log);
      expect([answer.status, answer.body.errors]).toEqual([200, undefined]);
      return answer.body;
    };
    expect((await check(conditions)).conformance.verdict).toBe("conforming-adjusted");
    const { conformance } = await check({ ...conditions, stateOfChargePercent: null });
    expect(conformance.verdict).toBe("nonconforming");
    expect(conformance.findings.find(({ rule }) => rule === "charge-state-declared")?.outcome).toBe("not-assessable");
  });

  it("and packs are ranked by it once it is accepted", async () => {
    await accept(run);
    const figure = run.body.figures.find(({ key }) => key === "resistance-two-pulse");
    const { items } = await ranking("resistance-two-pulse");
    expect(items.map(({ value }) => value)).toEqual([figure?.value]);
  });
});

describe("a figure that two protocols rank by", () => {
  it("is that of the first one, or of the one asked for", async () => {
    await accept(await upload("full-load", "truth-4s-10hz"));
    const slow = await upload("rated-capacity", "rated-capacity-5h");
    await accept(slow);
    const own = (await ranking("capacity", "&protocol=rated-capacity")).items;
    const capacity = slow.body.figures.find(({ key }) => key === "capacity");
    expect(own.map(({ value, basis }) => [value, basis])).toEqual([[capacity?.value, "own"]]);
    const translated = (await ranking("capacity")).items;
    expect(translated.map(({ basis }) => basis)).toEqual(["translated"]);
    expect((await ranking("capacity", "&protocol=full-load")).items).toEqual(translated);
    const { body } = await app.graphql(
      `{ ranking(figure: CAPACITY, protocol: "rated-capacity", standing: ALL) { edges { node { value basis } } } }`,
    );
    const [node] = own.map(({ value, basis }) => ({ value, basis }));
    expect(inRestWords(body.data)).toEqual({ ranking: { edges: [{ node }] } });
  });

  it("is not found under a protocol that does not rank by it, or is none", async () => {
    expect((await ranking("power-10s", "&protocol=rated-capacity")).detail).toContain("capacity-share");
    expect((await ranking("capacity", "&protocol=none")).detail).toContain("rated-capacity");
  });
});
