import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../support/app.js";
import { uploadCase } from "../support/uploads.js";

type Headers = { authorization: string };

let app: TestApp;
let tester: Headers;
let mona: Headers;
let milo: Headers;
beforeAll(async () => {
  app = await startTestApp();
  tester = await app.signIn("tilda");
  mona = await app.signIn("mona", "moderator");
  milo = await app.signIn("milo", "moderator");
});
afterAll(() => app.close());

const decide = (runId: string, payload: object, headers = mona) =>
  app.inject({ method: "POST", url: `/v1/runs/${runId}/reviews`, headers, payload: { rules: [], ...payload } });
const queued = async (headers = mona) =>
  (await app.inject({ url: "/v1/reviews", headers })).json<{ items: { id: string }[] }>().items.map(({ id }) => id);
const upload = async (pack: string, log: string, bytes?: Uint8Array<ArrayBuffer>) => {
  const { body } = await uploadCase(app, tester, pack, log, bytes);
  return body.id ?? body.runId;
};

describe("the queue of a moderator", () => {
  it("holds what can be decided: no run that is unreadable or does not conform, until its tester appeals", async () => {
    const hot = await upload("Hot", "too-hot");
    const unreadable = await upload("Unreadable", "truth-4s-10hz", Buffer.from("Voltage\n1\n"));
    const good = await upload("Good", "truth-4s-10hz");
    const states = await app.database.run.findMany({
      where: { id: { in: [hot, unreadable] } },
      orderBy: { id: "asc" },
    });
    expect(states.map(({ state, review }) => [state, review])).toEqual([
      ["processed", "pending"],
      ["failed", "pending"],
    ]);
    expect(await queued()).toEqual([good]);
    const { body } = await app.graphql("{ reviews { totalCount edges { node { id } } } }", { headers: mona });
    expect(body.data).toEqual({ reviews: { totalCount: 1, edges: [{ node: { id: good } }] } });
    expect((await decide(hot, { decision: "reject", note: "Too hot." })).statusCode).toBe(201);
    const appeal = { note: "The probe was loose." };
    const url = `/v1/runs/${hot}/appeals`;
    expect((await app.inject({ method: "POST", url, headers: tester, payload: appeal })).statusCode).toBe(200);
    expect((await queued(milo)).sort()).toEqual([hot, good].sort());
  });

  it("leaves out what waits for being evaluated anew", async () => {
    const id = await upload("Outdated", "plain-20hz");
    expect(await queued()).toContain(id);
    await app.database.run.update({ where: { id }, data: { outdated: true } });
    expect(await queued()).not.toContain(id);
  });
});

describe("a decision", () => {
  it("needs a note to reject and to ask, and none to accept", async () => {
    const id = await upload("Noted", "current-offset");
    for (const decision of ["reject", "request-info"]) {
      for (const note of [undefined, null]) {
        const refused = await decide(id, { decision, note });
        expect(refused.json()).toMatchObject({ status: 422, errors: [{ pointer: "/note" }] });
      }
    }
    const many = { runIds: [id], decision: "reject", rules: [] };
    expect((await app.inject({ method: "POST", url: "/v1/reviews", headers: mona, payload: many })).statusCode).toBe(
      422,
    );
    const accepted = await decide(id, { decision: "accept" });
    expect([accepted.statusCode, accepted.json()]).toMatchObject([201, { review: "accepted", note: null }]);
  });
});

describe("an administrator", () => {
  it("lists accounts, and gives roles by handle", async () => {
    const administrator = await app.signIn("ada", "administrator");
    const list = async (query: string, headers = administrator) =>
      (await app.inject({ url: `/v1/accounts${query}`, headers })).json<{ items: { handle: string }[] }>();
    const handles = async (query: string) => (await list(query)).items.map(({ handle }) => handle);
    expect(await handles("")).toEqual(["tilda", "mona", "milo", "ada"]);
    expect(await handles("?role=moderator")).toEqual(["mona", "milo"]);
    expect(await handles("?search=IL")).toEqual(["tilda", "milo"]);
    expect(await handles("?suspended=true")).toEqual([]);
    expect(await list("?first=1")).toMatchObject({
      items: [{ handle: "tilda", role: "tester", suspendedAt: null, runs: 5 }],
      pageInfo: { hasNextPage: true },
    });
    expect(await list("", mona)).toMatchObject({ type: "/problems/role-required" });
    const payload = { role: "moderator", reason: "Measures well." };
    const grant = (whose: string) =>
      app.inject({ method: "PUT", url: `/v1/accounts/${whose}/role`, headers: administrator, payload });
    expect((await grant("TILDA")).json()).toMatchObject({ handle: "tilda", role: "moderator" });
    expect((await grant("nobody-at-all")).statusCode).toBe(404);
    expect((await grant("ada")).json()).toMatchObject({ type: "/problems/role-required" });
    const { body } = await app.graphql(
      `mutation { setRole(account: "tilda", input: { role: TESTER, reason: "Back." }) { handle role } }`,
      { headers: administrator },
    );
    expect(body.data).toEqual({ setRole: { handle: "tilda", role: "TESTER" } });
    const listed = await app.graphql("{ accounts(role: ADMINISTRATOR) { totalCount edges { node { handle } } } }", {
      headers: administrator,
    });
    expect(listed.body.data).toEqual({ accounts: { totalCount: 1, edges: [{ node: { handle: "ada" } }] } });
  });
});
