import { createHash, randomBytes } from "node:crypto";
import { setTimeout as delay } from "node:timers/promises";
import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../../../test/support/app.js";
import { Browser } from "../../../../test/support/browser.js";
import { type RunningProvider, startOpenIdProvider } from "../../../../test/support/start-openid-provider.js";
import { verifyChain } from "../../../platform/audit-log/verify.js";
import { isOwnPath } from "../../../platform/identity-provider/browser-binding.js";

type Headers = { authorization: string };

const password = "correct horse battery";
const clientSecret = "a secret of the tests alone";
// The service as its people know it; the browser of the tests is told where it really is.
const HOME = "http://localhost:1";
const CALLBACK = /\/v1\/sign-ins\/callback/;

let app: TestApp;
let provider: RunningProvider;
beforeAll(async () => {
  const redirectUrl = `${HOME}/v1/sign-ins/callback`;
  provider = await startOpenIdProvider({ clientId: "packs", clientSecret, redirectUrl });
  const urls = { issuer: new URL(provider.issuer), redirectUrl: new URL(redirectUrl) };
  app = await startTestApp({ identityProvider: { ...urls, clientId: "packs", clientSecret } });
});
afterAll(async () => {
  await app.close();
  await provider.stop();
});

/** A client that keeps a verifier to itself. */
function newClient() {
  const verifier = randomBytes(32).toString("base64url");
  return { verifier, challenge: createHash("sha256").update(verifier).digest("base64url") };
}

const newBrowser = () => new Browser({ [HOME]: app.url });

/** Goes through the provider's own login and consent as a person would. */
async function comeBack(browser: Browser, person: string, start: string, stopAt: RegExp | null = null) {
  const login = await browser.open(`${HOME}/v1/sign-ins/start?${start}`, null, stopAt);
  if (!login.text.includes('name="login"')) return login;
  const consent = await browser.send(login, { login: person, password: "any" }, stopAt);
  return browser.send(consent, {}, stopAt);
}

/** A whole sign-in in a new browser: what the client has then. */
async function signIn(person: string) {
  const { verifier, challenge } = newClient();
  const page = await comeBack(newBrowser(), person, `challenge=${challenge}`);
  return { code: (JSON.parse(page.text) as { code: string }).code, verifier };
}

const post = (url: string, payload: object, headers: Partial<Headers> = {}) =>
  app.inject({ method: "POST", url, payload, headers });
const meOf = async (token: string) =>
  (await app.inject({ url: "/v1/accounts/me", headers: { authorization: `Bearer ${token}` } })).json();
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
    expect(items).toMatchObject([{ issuer: provider.issuer }]);
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

describe("a code", () => {
  it("is good once, even when it is sent several times at once", async () => {
    const proof = { ...(await signIn("subject-once")), handle: "once" };
    const answers = await Promise.all(Array.from({ length: 4 }, () => post("/v1/sign-ins", proof)));
    expect(answers.map(({ statusCode }) => statusCode).sort()).toEqual([201, 401, 401, 401]);
  });

  it("is nothing without the verifier of its client, and nothing when its time is over", async () => {
    const proof = await signIn("subject-anna");
    const { verifier } = newClient();
    expect((await post("/v1/sign-ins", { ...proof, verifier })).json()).toMatchObject({
      type: "/problems/sign-in-code-required",
    });
    await app.database.signIn.updateMany({ data: { expiresAt: new Date(0) } });
    expect((await post("/v1/sign-ins", proof)).statusCode).toBe(401);
  });

  it("is stored as its hash", async () => {
    const { code } = await signIn("subject-anna");
    const codeHash = createHash("sha256").update(code).digest();
    expect(await app.database.signIn.count({ where: { codeHash } })).toBe(1);
  });

  it("goes back to a page of this service in the fragment of its address, which no server is sent", async () => {
    const { challenge } = newClient();
    const browser = newBrowser();
    const page = await comeBack(browser, "subject-anna", `challenge=${challenge}&returnTo=%2Fdocs%3Fa%3D1`);
    expect(page.address.href).toMatch(/^http:\/\/localhost:1\/docs\?a=1#code=[\w-]{43}$/);
  });
});

describe("the way back from the provider", () => {
  const answerOf = (page: { status: number; text: string }) => [
    page.status,
    (JSON.parse(page.text) as { type: string }).type,
  ];

  it("is open to the browser alone that went there", async () => {
    const { challenge } = newClient();
    const begun = await comeBack(newBrowser(), "subject-anna", `challenge=${challenge}`, CALLBACK);
    const stranger = newBrowser();
    expect(answerOf(await stranger.open(begun.address))).toEqual([401, "/problems/sign-in-failed"]);
    await stranger.open(`${HOME}/v1/sign-ins/start?challenge=${challenge}`);
    expect(answerOf(await stranger.open(begun.address))).toEqual([401, "/problems/sign-in-failed"]);
  });

  it.each(["state", "iss", "code"])("is refused with another %s", async (name) => {
    const { challenge } = newClient();
    const browser = newBrowser();
    const { address } = await comeBack(browser, "subject-anna", `challenge=${challenge}`, CALLBACK);
    const forged = new URL(address);
    expect(forged.searchParams.get(name)).toBeTruthy();
    forged.searchParams.set(name, name === "iss" ? "http://127.0.0.1:1" : "x".repeat(43));
    expect(answerOf(await browser.open(forged))).toEqual([401, "/problems/sign-in-failed"]);
  });

  it("is gone once it was gone", async () => {
    const { challenge } = newClient();
    const browser = newBrowser();
    const { address } = await comeBack(browser, "subject-anna", `challenge=${challenge}`, CALLBACK);
    expect((await browser.open(address)).status).toBe(200);
    expect(answerOf(await browser.open(address))).toEqual([401, "/problems/sign-in-failed"]);
  });

  it("tells when the person was refused, and repeats nothing of it", async () => {
    const { challenge } = newClient();
    const browser = newBrowser();
    const begun = await browser.open(`${HOME}/v1/sign-ins/start?challenge=${challenge}`, null, /interaction/);
    expect(begun.address.origin).toBe(provider.issuer);
    const page = await browser.open(`${HOME}/v1/sign-ins/callback?error=access_denied&error_description=%3Cb%3E`);
    expect(answerOf(page)).toEqual([401, "/problems/sign-in-failed"]);
    expect(page.text).not.toContain("<b>");
  });

  it("is found by the browser's cookie behind a proxy that puts a path before it", async () => {
    const settings = { issuer: new URL(provider.issuer), clientId: "packs", clientSecret };
    const redirectUrl = new URL("https://club.example/packs/v1/sign-ins/callback");
    const proxied = await startTestApp({ identityProvider: { ...settings, redirectUrl } });
    try {
      const begun = await proxied.inject({ url: `/v1/sign-ins/start?challenge=${newClient().challenge}` });
      expect(begun.cookies).toMatchObject([{ path: "/packs/v1/sign-ins", httpOnly: true, secure: true }]);
    } finally {
      await proxied.close();
    }
  });

  it.each(["//evil.example", "/\\evil.example", "https://evil.example", "evil", "/a#b", "/a\tb", "/a\\b", ""])(
    "leads to no other place: %j",
    async (returnTo) => {
      expect(isOwnPath(returnTo)).toBe(false);
      const query = new URLSearchParams({ challenge: newClient().challenge, returnTo });
      expect((await app.inject({ url: `/v1/sign-ins/start?${query}` })).statusCode).toBe(422);
    },
  );
});

it("an erased account leaves neither issuer nor subject, and its person may begin anew", async () => {
  const proof = await signIn("subject-leaving");
  const { token } = (await post("/v1/sign-ins", { ...proof, handle: "leaving" })).json<{ token: string }>();
  const headers = { authorization: `Bearer ${token}` };
  await signIn("subject-leaving");
  expect((await post("/v1/accounts/me/erasure", {}, headers)).statusCode).toBe(401);
  const confirmation = { signIn: await signIn("subject-leaving") };
  expect((await post("/v1/accounts/me/erasure", confirmation, headers)).statusCode).toBe(200);
  expect(await app.database.identity.count({ where: { subject: "subject-leaving" } })).toBe(0);
  expect(await app.database.signIn.count({ where: { subject: "subject-leaving" } })).toBe(0);
  expect(await verifyChain(app.database)).toMatchObject({ broken: null });
  expect((await post("/v1/sign-ins", await signIn("subject-leaving"))).statusCode).toBe(422);
});

it("an account that is erased at that very moment gets no identity and opens nothing any more", async () => {
  const headers = await app.signIn("hasty");
  const { id } = (await app.inject({ url: "/v1/accounts/me", headers })).json<{ id: string }>();
  const proof = await signIn("subject-hasty");
  const key = await post("/v1/keys", { label: "program", scopes: ["read"] }, headers);
  const bearer = { authorization: `Bearer ${key.json<{ key: string }>().key}` };
  expect((await app.inject({ url: "/v1/accounts/me", headers: bearer })).statusCode).toBe(200);
  const linking = await app.database.$transaction(
    async (tx) => {
      await tx.$executeRaw`
        UPDATE account SET erased_at = now(), password_hash = NULL, handle = 'erased-hasty' WHERE id = ${id}::uuid`;
      const answer = post("/v1/accounts/me/identities", { ...proof, password }, headers).then((done) => done);
      const waits = () => tx.$queryRaw<object[]>`
        SELECT FROM pg_stat_activity WHERE datname = current_database() AND wait_event_type = 'Lock'`;
      while ((await waits()).length === 0) await delay(20);
      return { answer };
    },
    { timeout: 30_000 },
  );
  expect((await linking.answer).json()).toMatchObject({ type: "/problems/invalid-session" });
  expect(await app.database.identity.count({ where: { accountId: id } })).toBe(0);
  for (const by of [headers, bearer]) {
    expect((await app.inject({ url: "/v1/accounts/me", headers: by })).statusCode).toBe(401);
  }
});

describe("without an identity provider", () => {
  let other: TestApp;
  beforeAll(async () => {
    other = await startTestApp();
  });
  afterAll(() => other.close());

  it("its addresses are 404 and say so, in both APIs", async () => {
    const { verifier, challenge } = newClient();
    const headers = await other.signIn("anna");
    const input = { code: challenge, verifier };
    const answers = [
      await other.inject({ url: `/v1/sign-ins/start?challenge=${challenge}` }),
      await other.inject({ url: "/v1/sign-ins/callback?code=x&state=y" }),
      await other.inject({ method: "POST", url: "/v1/sign-ins", payload: input }),
      await other.inject({ method: "POST", url: "/v1/accounts/me/identities", payload: input, headers }),
    ];
    for (const answer of answers) {
      expect(answer.json()).toMatchObject({ status: 404, detail: expect.stringContaining("No identity provider") });
    }
    const { body } = await other.graphql(
      "mutation($input: SignInInput!) { createSessionFromSignIn(input: $input) { token } }",
      { variables: { input } },
    );
    expect(body.errors?.[0]?.extensions.code).toBe("not-found");
  });

  it("one that does not answer is 503 and leaves passwords as they are", async () => {
    const redirectUrl = new URL(`${HOME}/v1/sign-ins/callback`);
    const settings = { issuer: new URL("http://127.0.0.1:9"), redirectUrl, clientId: "packs", clientSecret };
    const lost = await startTestApp({ identityProvider: settings });
    try {
      const answer = await lost.inject({ url: `/v1/sign-ins/start?challenge=${newClient().challenge}` });
      expect([answer.statusCode, answer.json<{ type: string }>().type]).toEqual([
        503,
        "/problems/provider-unreachable",
      ]);
      await expect(lost.signIn("anna")).resolves.toMatchObject({ authorization: expect.any(String) });
    } finally {
      await lost.close();
    }
  });
});
