import { createHash } from "node:crypto";
import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../../test/support/app.js";
import { inRestWords } from "../../../test/support/graphql-words.js";

let app: TestApp;
beforeAll(async () => {
  app = await startTestApp();
});
afterAll(() => app.close());

const password = "ten letters";

function post(url: string, payload: object) {
  return app.inject({ method: "POST", url, payload });
}

describe("accounts", () => {
  it("begin as testers", async () => {
    const answer = await post("/v1/accounts", { handle: "Berta", password });
    expect(answer.statusCode).toBe(201);
    expect(answer.json()).toEqual({ id: expect.any(String), handle: "Berta", role: "tester" });
  });

  it("share no handle, whatever its case, even when registered at once", async () => {
    const handles = ["carla", "CARLA", "Carla", "cArLa"];
    const answers = await Promise.all(handles.map((handle) => post("/v1/accounts", { handle, password })));
    expect(answers.map(({ statusCode }) => statusCode).sort()).toEqual([201, 409, 409, 409]);
  });

  it("begin together, four for each connection to the record, and none waits for one that another holds", async () => {
    const connections = app.database.pool.options.max ?? 0;
    expect(connections).toBeGreaterThan(1);
    const handles = Array.from({ length: 4 * connections }, (_, i) => `crowd-${i}`);
    const answers = await Promise.all(handles.map((handle) => post("/v1/accounts", { handle, password })));
    expect(answers.map(({ statusCode }) => statusCode)).toEqual(handles.map(() => 201));
  });

  it.each([
    ["/handle", { handle: "a", password }],
    ["/handle", { handle: "_name", password }],
    ["/handle", { handle: "two words", password }],
    ["/password", { handle: "dora", password: "too short" }],
    ["/password", { handle: "dora", password: "x".repeat(257) }],
    ["/role", { handle: "dora", password, role: "administrator" }],
  ])("refuse a fault in %s", async (pointer, payload) => {
    const answer = await post("/v1/accounts", payload);
    expect(answer.statusCode).toBe(422);
    expect(answer.json<{ errors: { pointer: string }[] }>().errors.map((error) => error.pointer)).toEqual([pointer]);
  });

  it("store no password and no token as they are", async () => {
    await post("/v1/accounts", { handle: "emil", password });
    const { token } = (await post("/v1/sessions", { handle: "emil", password })).json<{ token: string }>();
    const stored = await app.database.account.findFirstOrThrow({
      where: { handle: "emil" },
      include: { sessions: true },
      omit: { passwordHash: false },
    });
    // RFC 9106 gives the form's parameters; m, t and p are the least that OWASP's password storage advice asks for (from memory).
    expect(stored.passwordHash).toMatch(/^\$argon2id\$v=19\$m=19456,t=2,p=1\$/);
    expect(stored.sessions.map(({ tokenHash }) => Buffer.from(tokenHash).toString("hex"))).toEqual([
      createHash("sha256").update(token).digest("hex"),
    ]);
  });
});

describe("sessions", () => {
  it("tell who is asking, in both APIs", async () => {
    const headers = await app.signIn("frida");
    const me = (await app.inject({ url: "/v1/accounts/me", headers })).json();
    expect(me).toMatchObject({ handle: "frida", role: "tester" });
    expect(inRestWords((await app.graphql("{ me { id handle role } }", { headers })).body.data)).toEqual({ me });
  });

  it("end", async () => {
    const headers = await app.signIn("gerd");
    await app.database.session.updateMany({
      where: { account: { handle: "gerd" } },
      data: { createdAt: new Date(0), expiresAt: new Date(1) },
    });
    const answer = await app.inject({ url: "/v1/accounts/me", headers });
    expect(answer.json()).toMatchObject({ status: 401, type: "/problems/invalid-session" });
  });

  it("give an unknown handle and a wrong password the same answer for about the same work", async () => {
    await post("/v1/accounts", { handle: "hans", password });
    await post("/v1/sessions", { handle: "nobody-here", password });
    const attempt = async (handle: string) => {
      const before = process.cpuUsage();
      const { type, title, status, detail } = (
        await post("/v1/sessions", { handle, password: "not the password" })
      ).json<Record<string, unknown>>();
      return { answer: { type, title, status, detail }, processorUs: process.cpuUsage(before).user };
    };
    const wrong = await attempt("hans");
    const unknown = await attempt("nobody-here");
    expect(wrong.answer).toEqual({
      type: "/problems/wrong-credentials",
      title: expect.any(String),
      status: 401,
      detail: expect.any(String),
    });
    expect(unknown.answer).toEqual(wrong.answer);
    // Without a hash to compare with, the answer would take a tenth of the processor's time, however busy the machine is.
    expect(unknown.processorUs).toBeGreaterThan(wrong.processorUs / 5);
  });
});
