import { setTimeout as delay } from "node:timers/promises";
import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../support/app.js";
import { logCase, register, uploadCase } from "../support/uploads.js";

type Headers = { authorization: string };
type Method = "GET" | "POST" | "PUT" | "PATCH" | "DELETE";

// A moderator reads, thinks and decides: meanwhile the run stays what it was when it was read, or the decision is refused.

let app: TestApp;
let tilda: Headers;
let mona: Headers;
beforeAll(async () => {
  app = await startTestApp();
  tilda = await app.signIn("tilda");
  mona = await app.signIn("mona", "moderator");
});
afterAll(() => app.close());

const ask = (method: Method, url: string, headers: Headers, payload?: object) =>
  app.inject({ method, url, headers, ...(payload ? { payload } : {}) });
const accepting = { decision: "accept", rules: [], note: "Fine." };
const decide = (runId: string, more: object = {}, headers = mona) =>
  ask("POST", `/v1/runs/${runId}/reviews`, headers, { ...accepting, ...more });
const move = (runId: string, packId: string, headers = tilda) => ask("PATCH", `/v1/runs/${runId}`, headers, { packId });
const seenBy = async (path: string) => (await ask("GET", path, mona)).json<{ evaluationId: string }>().evaluationId;
const evidence = (runId: string) => seenBy(`/v1/reviews/${runId}/evidence`);

async function uploaded(name: string, log = "plain-20hz"): Promise<{ runId: string; packId: string }> {
  const { body } = await uploadCase(app, tilda, name, log);
  return { runId: body.id, packId: body.pack.id };
}

/** Another pack of the same class, and as heavy. */
const otherPack = async (name: string) => (await register(app, tilda, name, logCase("plain-20hz"))).packId;

/** Waits until nothing rests any more on what was registered before. */
async function evaluatedAnew() {
  while ((await app.database.run.count({ where: { outdated: true } })) > 0) await delay(50);
}

const asked = (answer: { statusCode: number; json<T>(): T }) => {
  const { code, detail } = answer.json<{ code?: string; detail?: string }>();
  return [answer.statusCode, code, detail];
};
const CHANGED = [
  409,
  "decision-not-possible",
  "The run has been moved or evaluated anew since that evaluation. Read its evidence again, and decide on that.",
];

describe("a run that a moderator has claimed", () => {
  it("is moved by its tester neither before the decision nor before the claim ends, so that it is accepted where it was seen", async () => {
    const { runId, packId } = await uploaded("Heron");
    const betterId = await otherPack("Walnut");
    const { until } = (await ask("PUT", `/v1/reviews/${runId}/claim`, mona)).json<{ until: string }>();
    expect(asked(await move(runId, betterId))).toEqual([
      409,
      "decision-not-possible",
      `A moderator is looking at the run until ${until}. Move it after that, or once it is decided on.`,
    ]);
    expect((await decide(runId)).statusCode).toBe(201);
    expect((await ask("GET", `/v1/runs/${runId}`, tilda)).json()).toMatchObject({ pack: { id: packId } });
  });

  it("is moved by its tester once it is released, and by a moderator meanwhile", async () => {
    const { runId } = await uploaded("Teal", "truth-4s-10hz");
    const [first, second] = [await otherPack("Hazel"), await otherPack("Alder")];
    await ask("PUT", `/v1/reviews/${runId}/claim`, mona);
    expect((await move(runId, first, mona)).statusCode).toBe(200);
    await evaluatedAnew();
    await ask("DELETE", `/v1/reviews/${runId}/claim`, mona);
    expect((await move(runId, second)).statusCode).toBe(200);
    await evaluatedAnew();
  });
});

describe("a decision that names the evaluation it rests on", () => {
  it("is refused when the run was moved since, before and after it is evaluated there, and made on what the evidence then is", async () => {
    const { runId } = await uploaded("Curlew", "jitter-25hz");
    const seen = await evidence(runId);
    expect(await seenBy(`/v1/reviews/${runId}/evidence/full`)).toBe(seen);
    expect((await move(runId, await otherPack("Rowan"))).statusCode).toBe(200);
    expect(asked(await decide(runId, { decision: "reject", evaluationId: seen }))).toEqual(CHANGED);
    await evaluatedAnew();
    for (const decision of ["accept", "reject", "request-info"]) {
      expect(asked(await decide(runId, { decision, evaluationId: seen }))).toEqual(CHANGED);
    }
    const now = await evidence(runId);
    expect(now).not.toBe(seen);
    expect((await decide(runId, { evaluationId: now.toUpperCase() })).statusCode).toBe(201);
  });

  it("is refused when the tester corrected the pack since, and so is the proposal of a moderator with a conflict of interest", async () => {
    const { runId, packId } = await uploaded("Plover", "current-offset");
    const paul = await app.signIn("paul", "moderator");
    await uploadCase(app, paul, "Osprey", "removed-at-cutoff");
    const seen = await evidence(runId);
    const correction = { massGrams: 530, reason: "Weighed anew." };
    expect((await ask("PATCH", `/v1/packs/${packId}`, tilda, correction)).statusCode).toBe(200);
    await evaluatedAnew();
    expect(asked(await decide(runId, { evaluationId: seen }))).toEqual(CHANGED);
    expect(asked(await decide(runId, { evaluationId: seen }, paul))).toEqual(CHANGED);
    const proposed = await decide(runId, { evaluationId: await evidence(runId) }, paul);
    expect([proposed.statusCode, proposed.json()]).toEqual([201, expect.objectContaining({ effective: false })]);
  });

  it("is held to it in GraphQL too", async () => {
    const { runId } = await uploaded("Dunlin", "lead-declared");
    const query = `query ($id: ID!) { evidenceSummary(runId: $id) { evaluationId } evidence(runId: $id) { evaluationId } }`;
    const { body } = await app.graphql(query, { variables: { id: runId }, headers: mona });
    const { evidenceSummary, evidence: full } = body.data as Record<string, { evaluationId: string }>;
    expect(full).toEqual(evidenceSummary);
    expect((await move(runId, await otherPack("Aspen"))).statusCode).toBe(200);
    await evaluatedAnew();
    const decision = { decision: "ACCEPT", rules: [], evaluationId: evidenceSummary?.evaluationId };
    const refused = await app.graphql(
      `mutation ($id: ID!, $input: ReviewInput!) { reviewRun(runId: $id, input: $input) { review } }`,
      { variables: { id: runId, input: decision }, headers: mona },
    );
    expect(refused.body.errors?.[0]?.message).toBe(CHANGED[2]);
  });
});

describe("a confirmation that names the pack as it was seen", () => {
  const confirm = (packId: string, seen?: object) =>
    ask("POST", `/v1/packs/${packId}/confirmation`, mona, { checked: ["label", "mass"], ...(seen ? { seen } : {}) });

  it("is refused when whoever registered the pack corrected it since, and says what is otherwise", async () => {
    const packId = await otherPack("Linnet");
    const {
      id: _,
      status: __,
      ...seen
    } = (await ask("GET", `/v1/packs/${packId}`, mona)).json<Record<string, unknown>>();
    const correction = { massGrams: 500, labelBurstC: 200, reason: "Weighed anew." };
    expect((await ask("PATCH", `/v1/packs/${packId}`, tilda, correction)).statusCode).toBe(200);
    const refused = await confirm(packId, seen);
    expect([...asked(refused), refused.json().errors]).toEqual([
      409,
      "decision-not-possible",
      "The pack has been corrected since you looked at it. Look at it again, and confirm what you find.",
      [
        { pointer: "/seen/labelBurstC", message: "is registered as 200 by now" },
        { pointer: "/seen/massGrams", message: "is registered as 500 by now" },
      ],
    ]);
    const query = `mutation ($id: ID!, $input: ConfirmationInput!) { confirmPack(id: $id, input: $input) { status } }`;
    const input = { checked: ["LABEL"], seen: { massGrams: seen.massGrams } };
    const { body } = await app.graphql(query, { variables: { id: packId, input }, headers: mona });
    expect(body.errors?.[0]?.extensions.code).toBe("decision-not-possible");
    const confirmed = await confirm(packId, { ...seen, massGrams: 500, labelBurstC: 200 });
    expect([confirmed.statusCode, confirmed.json().status]).toEqual([200, "confirmed"]);
  });

  it("needs to name nothing", async () => {
    expect((await confirm(await otherPack("Siskin"))).statusCode).toBe(200);
    expect((await confirm(await otherPack("Brambling"), {})).statusCode).toBe(200);
  });
});
