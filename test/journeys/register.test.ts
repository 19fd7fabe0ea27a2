import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../support/app.js";
import { productOf } from "../support/facts.js";
import { uploadCase } from "../support/uploads.js";

type Headers = { authorization: string };
type Method = "GET" | "POST" | "DELETE";

let app: TestApp;
let tester: Headers;
let mona: Headers;
beforeAll(async () => {
  app = await startTestApp();
  tester = await app.signIn("tilda");
  mona = await app.signIn("mona", "moderator");
});
afterAll(() => app.close());

const ask = (method: Method, url: string, headers: Headers | null, payload?: object) =>
  app.inject({ method, url, ...(headers ? { headers } : {}), ...(payload ? { payload } : {}) });
const statusOf = async (packId: string) =>
  (await ask("GET", `/v1/packs/${packId}`, mona)).json<{ status: string }>().status;
const eventsOf = async (subjectId: string) => {
  const where = { subjectId, event: { not: "register" } };
  const entries = await app.database.auditEntry.findMany({
    where,
    orderBy: { position: "asc" },
    include: { reason: true },
  });
  return entries.map(({ event, toState, reason }) => [event, toState, reason?.text ?? null]);
};

/** An accepted run of a pack of this name. */
async function accepted(name: string, headers = tester, log = "plain-20hz") {
  const { body: run } = await uploadCase(app, headers, name, log);
  const decision = { decision: "accept", rules: [], note: "Fine." };
  const answer = await ask("POST", `/v1/runs/${run.id}/reviews`, mona, decision);
  expect([answer.statusCode, answer.body]).toEqual([201, expect.any(String)]);
  return { runId: run.id, packId: run.pack.id };
}

const standingsOf = async (packId: string) =>
  (await ask("GET", `/v1/packs/${packId}/standings`, mona)).json<{ items: object[] }>().items.length;

describe("a proposed pack", () => {
  it("is confirmed by a moderator, and proposed again when that is taken back", async () => {
    const { id } = (await ask("POST", "/v1/packs", tester, productOf("Meadow"))).json<{ id: string }>();
    expect(await statusOf(id)).toBe("proposed");
    const confirm = (headers: Headers, checked: string[]) =>
      ask("POST", `/v1/packs/${id}/confirmation`, headers, { checked, reason: "A picture of the label." });
    expect((await confirm(tester, ["label"])).statusCode).toBe(403);
    expect((await confirm(mona, ["mass"])).json()).toMatchObject({ errors: [{ pointer: "/checked" }] });
    expect((await confirm(mona, ["mass", "label"])).json()).toMatchObject({ id, status: "confirmed" });
    expect((await confirm(mona, ["label"])).statusCode).toBe(200);
    expect((await ask("DELETE", `/v1/packs/${id}/confirmation`, mona)).json()).toMatchObject({ status: "proposed" });
    expect(await eventsOf(id)).toEqual([
      ["confirm", "confirmed: label, mass", "A picture of the label."],
      ["unconfirm", "proposed", null],
    ]);
  });

  it("of a moderator is confirmed by another one", async () => {
    const { id } = (await ask("POST", "/v1/packs", mona, productOf("Orchard"))).json<{ id: string }>();
    const confirm = (headers: Headers) => ask("POST", `/v1/packs/${id}/confirmation`, headers, { checked: ["label"] });
    expect((await confirm(mona)).json()).toMatchObject({ type: "/problems/role-required" });
    expect((await confirm(await app.signIn("milo", "moderator"))).statusCode).toBe(200);
  });
});

describe("spam", () => {
  it("is hidden: it leaves lists and standings, nothing is deleted, and it can be shown again", async () => {
    const { packId, runId } = await accepted("Thistle");
    const listed = async () =>
      (await ask("GET", "/v1/packs?search=thistle", null)).json<{ items: object[] }>().items.length;
    const stood = await standingsOf(packId);
    expect([stood > 0, await listed()]).toEqual([true, 1]);
    const hidden = await ask("POST", `/v1/packs/${packId}/hiding`, mona, { reason: "No such product." });
    expect(hidden.json()).toMatchObject({ status: "hidden" });
    expect([await app.database.standing.count({ where: { packId } }), await listed()]).toEqual([0, 0]);
    expect((await ask("GET", `/v1/packs/${packId}`, null)).statusCode).toBe(404);
    expect((await ask("GET", `/v1/packs/${packId}`, tester)).statusCode).toBe(200);
    expect((await ask("GET", `/v1/runs/${runId}/log`, tester)).statusCode).toBe(200);
    await ask("DELETE", `/v1/packs/${packId}/hiding`, mona);
    expect([await standingsOf(packId), await listed()]).toEqual([stood, 1]);
    expect((await eventsOf(packId)).map(([event]) => event)).toEqual(["hide", "show"]);
  });

  it("ends with its author's suspension: runs leave the standings, nothing can be written, all comes back when it is lifted", async () => {
    const spammer = await app.signIn("spammer");
    const key = await ask("POST", "/v1/keys", spammer, { label: "script", scopes: ["read", "write"] });
    const { packId, runId } = await accepted("Bramble", spammer, "truth-4s-10hz");
    const stood = await standingsOf(packId);
    expect(stood).toBeGreaterThan(0);
    const suspend = (headers: Headers, handle: string) =>
      ask("POST", `/v1/accounts/${handle}/suspension`, headers, { reason: "Five accounts of one person." });
    expect((await suspend(tester, "spammer")).statusCode).toBe(403);
    expect((await suspend(mona, "mona")).statusCode).toBe(403);
    expect((await suspend(mona, "nobody")).statusCode).toBe(404);
    expect((await suspend(mona, "Spammer")).json()).toEqual({ handle: "spammer", suspendedAt: expect.any(String) });
    expect(await standingsOf(packId)).toBe(0);
    for (const headers of [spammer, { authorization: `Bearer ${key.json<{ key: string }>().key}` }]) {
      const refused = await ask("POST", "/v1/packs", headers, productOf("Nettle"));
      expect([refused.statusCode, refused.json<{ code: string }>().code]).toEqual([403, "account-suspended"]);
      expect((await ask("DELETE", `/v1/runs/${runId}`, headers)).statusCode).toBe(403);
      expect((await ask("GET", `/v1/runs/${runId}`, headers)).statusCode).toBe(200);
    }
    const mutation = "mutation($i: PackInput!) { createPack(input: $i) { id } }";
    const i = { ...productOf("Nettle"), chemistry: "LIPO" };
    const { body } = await app.graphql(mutation, { variables: { i }, headers: spammer });
    expect(body.errors?.[0]?.extensions.code).toBe("account-suspended");
    expect((await app.database.run.findUniqueOrThrow({ where: { id: runId } })).review).toBe("accepted");
    expect((await ask("DELETE", "/v1/accounts/spammer/suspension", mona)).json()).toMatchObject({ suspendedAt: null });
    expect(await standingsOf(packId)).toBe(stood);
    expect((await ask("POST", "/v1/packs", spammer, productOf("Nettle"))).statusCode).toBe(201);
    const sessions = (await ask("GET", "/v1/sessions", spammer)).json<{ items: { id: string }[] }>().items;
    await suspend(mona, "spammer");
    expect((await ask("DELETE", `/v1/sessions/${sessions[0]?.id}`, spammer)).statusCode).toBe(204);
  });

  it("of a moderator is for an administrator to end", async () => {
    await app.signIn("mallory", "moderator");
    const suspend = (headers: Headers) => ask("POST", "/v1/accounts/mallory/suspension", headers, { reason: "Spam." });
    expect((await suspend(mona)).statusCode).toBe(403);
    expect((await suspend(await app.signIn("ada", "administrator"))).statusCode).toBe(200);
  });
});
