import { setTimeout as delay } from "node:timers/promises";
import { afterAll, beforeAll, expect, it } from "@jest/globals";
import type { TestApp } from "../../../../test/support/app.js";
import { type SignInTest, startSignInTest } from "../../../../test/support/sign-in-test.js";
import { verifyChain } from "../../../platform/audit-log/verify.js";

const password = "correct horse battery";

let signIns: SignInTest;
let app: TestApp;
beforeAll(async () => {
  signIns = await startSignInTest();
  app = signIns.app;
});
afterAll(() => signIns.close());

const signIn = (person: string) => signIns.signIn(person);
const post: SignInTest["post"] = (url, payload, headers) => signIns.post(url, payload, headers);

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
