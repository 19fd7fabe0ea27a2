import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../../../test/support/app.js";
import { CLIENT, HOME, newClient } from "../../../../test/support/sign-in-test.js";

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
    const settings = { issuer: new URL("http://127.0.0.1:9"), redirectUrl, ...CLIENT };
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
