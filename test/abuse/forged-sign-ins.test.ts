import { randomBytes } from "node:crypto";
import { afterAll, beforeAll, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../support/app.js";
import { type Forgery, type ForgingProvider, startForgingProvider } from "../support/forging-provider.js";

const CLIENT = { clientId: "packs", clientSecret: "a secret of the tests alone" };

let app: TestApp;
let provider: ForgingProvider;
beforeAll(async () => {
  provider = await startForgingProvider(CLIENT.clientId);
  const urls = { issuer: new URL(provider.issuer), redirectUrl: new URL("http://localhost:1/v1/sign-ins/callback") };
  app = await startTestApp({ identityProvider: { ...CLIENT, ...urls } });
});
afterAll(async () => {
  await app.close();
  await provider.stop();
});

/** Begins a sign-in and comes back with what a forged answer makes of it. */
async function comeBack(forgery: Forgery) {
  const challenge = randomBytes(32).toString("base64url");
  const begun = await app.inject({ url: `/v1/sign-ins/start?challenge=${challenge}` });
  const [cookie] = begun.cookies as {
    name: string;
    value: string;
    httpOnly: boolean;
    sameSite: string;
    path: string;
  }[];
  expect(cookie).toMatchObject({ httpOnly: true, sameSite: "Lax", path: "/v1/sign-ins" });
  const asked = new URL(String(begun.headers.location)).searchParams;
  expect(Object.fromEntries(asked)).toMatchObject({
    response_type: "code",
    scope: "openid",
    code_challenge_method: "S256",
  });
  provider.next(asked.get("nonce") ?? "", forgery);
  const query = new URLSearchParams({ code: "x", state: asked.get("state") ?? "", iss: provider.issuer });
  return app.inject({
    url: `/v1/sign-ins/callback?${query}`,
    cookies: { [cookie?.name ?? ""]: cookie?.value ?? "" },
  });
}

it("an honest answer is taken, so that the refusals below are for what is forged", async () => {
  expect((await comeBack({})).statusCode).toBe(200);
  expect(await app.database.signIn.count()).toBe(1);
});

const past = Math.floor(Date.now() / 1000) - 3_600;
// What a client must check: OpenID Connect Core 1.0, 3.1.3.7 (clause from memory).
it.each<[string, Forgery]>([
  ["a nonce of another sign-in", { claims: { nonce: "x".repeat(43) } }],
  ["no nonce", { claims: { nonce: undefined } }],
  ["another client's audience", { claims: { aud: "another" } }],
  ["several audiences and another one meant", { claims: { aud: ["packs", "another"], azp: "another" } }],
  ["another issuer", { claims: { iss: "http://127.0.0.1:1" } }],
  ["a time that is over", { claims: { iat: past, exp: past + 60 } }],
  ["no end", { claims: { exp: undefined } }],
  ["no subject", { claims: { sub: undefined } }],
  ["the signature of a stranger", { byStranger: true }],
  ["no signature", { unsigned: true }],
  ["no ID token", { withoutIdToken: true }],
])("an answer with %s is refused and leaves nothing", async (_, forgery) => {
  const before = await app.database.signIn.count();
  const answer = await comeBack(forgery);
  expect([answer.statusCode, answer.json<{ type: string }>().type]).toEqual([401, "/problems/sign-in-failed"]);
  expect(await app.database.signIn.count()).toBe(before);
});
