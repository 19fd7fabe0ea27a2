import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import type { TestApp } from "../../../../test/support/app.js";
import { type Headers, type SignInTest, startSignInTest } from "../../../../test/support/sign-in-test.js";

let signIns: SignInTest;
let app: TestApp;
beforeAll(async () => {
  signIns = await startSignInTest();
  app = signIns.app;
});
afterAll(() => signIns.close());

const password = "correct horse battery";
const signIn = (person: string) => signIns.signIn(person);
const post: SignInTest["post"] = (url, payload, headers) => signIns.post(url, payload, headers);
const meOf = (token: string) => signIns.meOf(token);
const linksOf = (headers: Headers) => app.inject({ url: "/v1/accounts/me/identities", headers });

describe("a person whom the provider knows", () => {
  it("gets an account under a handle of their choice the first time, and the same one ever after", async () => {
    const first = await signIn("subject-anna");
    const without = await post("/v1/sign-ins", first);
    expect(without.json()).toMatchObject({ type: "/problems/handle-required", errors: [{ pointer: "/handle" }] });
    const opened = await post("/v1/sign-ins", { ...first, handle: "anna" });
    expect(opened.statusCode).toBe(201);
    expect(opened.headers["cache-control"]).toBe("no-store");
    const me = await meOf(opened.json<{ token: string }>().token);
    expect(me).toMatchObject({ handle: "anna", role: "tester" });
    const again = await post("/v1/sign-ins", await signIn("subject-anna"));
    expect(await meOf(again.json<{ token: string }>().token)).toEqual(me);
    const graphql = await app.graphql(
      "mutation($input: SignInInput!) { createSessionFromSignIn(input: $input) { token } }",
      { variables: { input: await signIn("subject-anna") } },
    );
    const { createSessionFromSignIn: session } = graphql.body.data as Record<string, { token: string }>;
    expect(await meOf(session?.token ?? "")).toEqual(me);
  });

  it("has no password, so that none opens the account", async () => {
    for (const secret of ["", "null", password]) {
      expect((await post("/v1/sessions", { handle: "anna", password: secret })).statusCode).not.toBe(201);
    }
  });

  it("is not taken for the one whose handle they ask for", async () => {
    const headers = await app.signIn("bruno");
    const proof = await signIn("bruno");
    const taken = await post("/v1/sign-ins", { ...proof, handle: "BRUNO" });
    expect(taken.json()).toMatchObject({ type: "/problems/already-exists" });
    const { token } = (await post("/v1/sign-ins", { ...proof, handle: "bruno-2" })).json<{ token: string }>();
    const { id } = (await app.inject({ url: "/v1/accounts/me", headers })).json<{ id: string }>();
    expect((await meOf(token)) as { id: string }).not.toMatchObject({ id });
  });

  it("is linked to a further identity only after signing in once more: a session that was stolen opens no way in for good", async () => {
    const proof = await signIn("subject-flora");
    const { token } = (await post("/v1/sign-ins", { ...proof, handle: "flora" })).json<{ token: string }>();
    const headers = { authorization: `Bearer ${token}` };
    const link = async (more: object) =>
      post("/v1/accounts/me/identities", { ...(await signIn("subject-thief")), ...more }, headers);
    expect((await link({})).json()).toMatchObject({ type: "/problems/wrong-credentials" });
    expect((await link({ password: "any" })).json()).toMatchObject({ type: "/problems/wrong-credentials" });
    const strangers = await link({ signIn: await signIn("subject-thief") });
    expect(strangers.json()).toMatchObject({ type: "/problems/wrong-credentials" });
    expect((await linksOf(headers)).json<{ items: object[] }>().items).toHaveLength(1);
    expect((await link({ signIn: await signIn("subject-flora") })).statusCode).toBe(201);
  });

  it("may set a password, after signing in once more, and then unlink", async () => {
    const proof = await signIn("subject-carla");
    const { token } = (await post("/v1/sign-ins", { ...proof, handle: "carla" })).json<{ token: string }>();
    const headers = { authorization: `Bearer ${token}` };
    const { items } = (await linksOf(headers)).json<{ items: { id: string; issuer: string }[] }>();
    expect(items).toMatchObject([{ issuer: signIns.issuer }]);
    const unlink = () => app.inject({ method: "DELETE", url: `/v1/accounts/me/identities/${items[0]?.id}`, headers });
    expect((await unlink()).json()).toMatchObject({ type: "/problems/limit-reached" });
    const put = (payload: object) => app.inject({ method: "PUT", url: "/v1/accounts/me/password", payload, headers });
    expect((await put({ newPassword: password })).statusCode).toBe(401);
    const strangers = await put({ newPassword: password, signIn: await signIn("subject-anna") });
    expect(strangers.json()).toMatchObject({ type: "/problems/wrong-credentials" });
    expect((await put({ newPassword: password, signIn: await signIn("subject-carla") })).statusCode).toBe(204);
    expect((await post("/v1/sessions", { handle: "carla", password })).statusCode).toBe(201);
    expect((await unlink()).statusCode).toBe(204);
    expect((await post("/v1/sign-ins", await signIn("subject-carla"))).statusCode).toBe(422);
  });
});

describe("an account with a password", () => {
  it("is linked from its session with its password alone, keeps it, and shares its identity with no other", async () => {
    const headers = await app.signIn("dora");
    const proof = await signIn("subject-dora");
    const link = (input: object, by: Partial<Headers> = headers) => post("/v1/accounts/me/identities", input, by);
    expect((await link({ ...proof, password }, {})).statusCode).toBe(401);
    expect((await link(proof)).json()).toMatchObject({ type: "/problems/wrong-credentials" });
    expect((await link({ ...proof, password })).statusCode).toBe(201);
    const opened = await post("/v1/sign-ins", await signIn("subject-dora"));
    expect(await meOf(opened.json<{ token: string }>().token)).toMatchObject({ handle: "dora" });
    expect((await post("/v1/sessions", { handle: "dora", password })).statusCode).toBe(201);
    const other = await app.signIn("emil");
    const stolen = await link({ ...(await signIn("subject-dora")), password }, other);
    expect(stolen.json()).toMatchObject({ type: "/problems/already-exists" });
    const links = await app.database.auditEntry.findMany({
      where: { event: "link-identity" },
      include: { reason: true },
    });
    expect(links.length).toBeGreaterThan(0);
    expect(JSON.stringify(links, (_, value) => (typeof value === "bigint" ? Number(value) : value))).not.toMatch(
      /subject-|127\.0\.0\.1/,
    );
  });
});
