import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../../test/support/app.js";
import { verifyChain } from "../../platform/audit-log/verify.js";
import { SetupService } from "./setup/setup.service.js";

type Headers = { authorization: string };

let app: TestApp;
beforeAll(async () => {
  app = await startTestApp();
});
afterAll(() => app.close());

const password = "correct horse battery";
const post = (url: string, payload: object, headers?: Headers) =>
  app.inject({ method: "POST", url, payload, ...(headers ? { headers } : {}) });
const get = (url: string, headers: Headers) => app.inject({ url, headers });

describe("a password", () => {
  // The first five are among the most common in published leaks; the others are those with digits and signs around.
  it.each([
    "qwertyuiop",
    "basketball",
    "1234567890",
    "q1w2e3r4t5",
    "manchester",
    "Password2026!",
    "111111111112",
    "basketball123456",
    "my-packledger-pass",
    "weakling-weakling",
  ])("that is easily guessed is refused: %s", async (weak) => {
    const answer = await post("/v1/accounts", { handle: "weakling", password: weak });
    expect([answer.statusCode, answer.json<{ errors: { pointer: string }[] }>().errors[0]?.pointer]).toEqual([
      422,
      "/password",
    ]);
  });

  it("can be changed with the present one, which ends every other session", async () => {
    const first = await app.signIn("changer");
    const second = await app.signIn("changer");
    const put = (payload: object) =>
      app.inject({ method: "PUT", url: "/v1/accounts/me/password", payload, headers: first });
    expect((await put({ password: "not the password", newPassword: "another good phrase" })).statusCode).toBe(401);
    expect((await put({ password, newPassword: "qwertyuiop" })).statusCode).toBe(422);
    expect((await put({ password, newPassword: "another good phrase" })).statusCode).toBe(204);
    expect((await get("/v1/accounts/me", first)).statusCode).toBe(200);
    expect((await get("/v1/accounts/me", second)).statusCode).toBe(401);
    expect((await post("/v1/sessions", { handle: "changer", password })).statusCode).toBe(401);
  });
});

describe("sessions", () => {
  it("are listed for their owner alone, and ended one by one", async () => {
    const first = await app.signIn("lister");
    const second = await app.signIn("lister");
    const stranger = await app.signIn("stranger");
    const { items } = (await get("/v1/sessions", first)).json<{ items: { id: string; current: boolean }[] }>();
    expect(items.map(({ current }) => current)).toEqual([false, true]);
    const end = (headers: Headers) => app.inject({ method: "DELETE", url: `/v1/sessions/${items[0]?.id}`, headers });
    expect((await end(stranger)).statusCode).toBe(404);
    expect((await end(first)).statusCode).toBe(204);
    expect((await get("/v1/accounts/me", second)).statusCode).toBe(401);
    const { body } = await app.graphql("{ sessions { edges { node { id current } } } }", { headers: first });
    expect(body.data).toEqual({ sessions: { edges: [{ node: { id: items[1]?.id, current: true } }] } });
  });
});

describe("the first administrator", () => {
  const register = (token: string, handle: string) => post("/v1/administrators", { token, handle, password });

  it("registers once, with the token of the last start and no other", async () => {
    const setup = app.nest.get(SetupService);
    const old = (await setup.offer(null)) ?? "";
    const token = (await setup.offer(null)) ?? "";
    expect((await register("x".repeat(43), "mallory")).json()).toMatchObject({
      type: "/problems/setup-token-required",
    });
    expect((await register(old, "mallory")).statusCode).toBe(401);
    expect((await post("/v1/administrators", { token, handle: "ada", password: "qwertyuiop" })).statusCode).toBe(422);
    const answers = await Promise.all(["ada", "ada-2"].map((handle) => register(token, handle)));
    expect(answers.map(({ statusCode }) => statusCode).sort()).toEqual([201, 401]);
    expect(await app.database.account.count({ where: { role: "administrator" } })).toBe(1);
    expect(await setup.offer(null)).toBeNull();
  });

  it("grants roles with a reason that the record keeps, and not to themselves", async () => {
    const administrator = await app.signIn("grantor", "administrator");
    const { id: own } = (await get("/v1/accounts/me", administrator)).json<{ id: string }>();
    const tester = await app.signIn("granted");
    const { id } = (await get("/v1/accounts/me", tester)).json<{ id: string }>();
    const put = (accountId: string, headers: Headers) =>
      app.inject({
        method: "PUT",
        url: `/v1/accounts/${accountId}/role`,
        payload: { role: "moderator", reason: "Knows the trade." },
        headers,
      });
    expect((await put(own, administrator)).statusCode).toBe(403);
    expect((await put(id, tester)).statusCode).toBe(403);
    expect((await put(id, administrator)).json()).toMatchObject({ id, role: "moderator" });
    const entry = await app.database.auditEntry.findFirstOrThrow({
      where: { event: "grant", subjectId: id },
      include: { reason: true },
    });
    expect(entry).toMatchObject({ actorId: own, fromState: "tester", toState: "moderator" });
    expect(entry.reason?.text).toBe("Knows the trade.");
  });
});

describe("an erased account", () => {
  it("leaves no handle, password, session, key or words, and a chain that holds", async () => {
    const headers = await app.signIn("Leaving-Person");
    const { id } = (await get("/v1/accounts/me", headers)).json<{ id: string }>();
    const { key } = (await post("/v1/keys", { label: "mine", scopes: ["read"] }, headers)).json<{ key: string }>();
    expect((await post("/v1/accounts/me/erasure", { password: "not the password" }, headers)).statusCode).toBe(401);
    const answer = await post("/v1/accounts/me/erasure", { password }, headers);
    expect(answer.statusCode).toBe(200);
    expect(answer.json<{ remains: string[] }>().remains.length).toBeGreaterThan(2);
    expect((await get("/v1/accounts/me", headers)).statusCode).toBe(401);
    expect((await get("/v1/accounts/me", { authorization: `Bearer ${key}` })).statusCode).toBe(401);
    expect((await post("/v1/sessions", { handle: "Leaving-Person", password })).statusCode).toBe(401);
    const account = await app.database.account.findUniqueOrThrow({ where: { id }, omit: { passwordHash: false } });
    expect(account).toMatchObject({ passwordHash: null, handle: `erased-${id.slice(-12)}` });
    expect((await post("/v1/sessions", { handle: account.handle, password })).statusCode).toBe(401);
    expect(await verifyChain(app.database)).toMatchObject({ broken: null });
    // The handle is free again, and is another person's then.
    const again = (await post("/v1/accounts", { handle: "Leaving-Person", password })).json<{ id: string }>();
    expect(again.id).not.toBe(id);
  });

  it("cannot be imitated: its kind of handle is never given out", async () => {
    expect((await post("/v1/accounts", { handle: "Erased-0123456789ab", password })).statusCode).toBe(409);
  });
});
