import { createHash } from "node:crypto";
import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../../../test/support/app.js";
import { CLIENT, HOME, newClient, type SignInTest, startSignInTest } from "../../../../test/support/sign-in-test.js";
import { isOwnPath } from "../../../platform/identity-provider/browser-binding.js";

const CALLBACK = /\/v1\/sign-ins\/callback/;

let signIns: SignInTest;
let app: TestApp;
beforeAll(async () => {
  signIns = await startSignInTest();
  app = signIns.app;
});
afterAll(() => signIns.close());

const signIn = (person: string) => signIns.signIn(person);
const post: SignInTest["post"] = (url, payload, headers) => signIns.post(url, payload, headers);

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
    const browser = signIns.newBrowser();
    const page = await signIns.comeBack(browser, "subject-anna", `challenge=${challenge}&returnTo=%2Fdocs%3Fa%3D1`);
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
    const begun = await signIns.comeBack(signIns.newBrowser(), "subject-anna", `challenge=${challenge}`, CALLBACK);
    const stranger = signIns.newBrowser();
    expect(answerOf(await stranger.open(begun.address))).toEqual([401, "/problems/sign-in-failed"]);
    await stranger.open(`${HOME}/v1/sign-ins/start?challenge=${challenge}`);
    expect(answerOf(await stranger.open(begun.address))).toEqual([401, "/problems/sign-in-failed"]);
  });

  it.each(["state", "iss", "code"])("is refused with another %s", async (name) => {
    const { challenge } = newClient();
    const browser = signIns.newBrowser();
    const { address } = await signIns.comeBack(browser, "subject-anna", `challenge=${challenge}`, CALLBACK);
    const forged = new URL(address);
    expect(forged.searchParams.get(name)).toBeTruthy();
    forged.searchParams.set(name, name === "iss" ? "http://127.0.0.1:1" : "x".repeat(43));
    expect(answerOf(await browser.open(forged))).toEqual([401, "/problems/sign-in-failed"]);
  });

  it("is gone once it was gone", async () => {
    const { challenge } = newClient();
    const browser = signIns.newBrowser();
    const { address } = await signIns.comeBack(browser, "subject-anna", `challenge=${challenge}`, CALLBACK);
    expect((await browser.open(address)).status).toBe(200);
    expect(answerOf(await browser.open(address))).toEqual([401, "/problems/sign-in-failed"]);
  });

  it("tells when the person was refused, and repeats nothing of it", async () => {
    const { challenge } = newClient();
    const browser = signIns.newBrowser();
    const begun = await browser.open(`${HOME}/v1/sign-ins/start?challenge=${challenge}`, null, /interaction/);
    expect(begun.address.origin).toBe(signIns.issuer);
    const page = await browser.open(`${HOME}/v1/sign-ins/callback?error=access_denied&error_description=%3Cb%3E`);
    expect(answerOf(page)).toEqual([401, "/problems/sign-in-failed"]);
    expect(page.text).not.toContain("<b>");
  });

  it("is found by the browser's cookie behind a proxy that puts a path before it", async () => {
    const settings = { issuer: new URL(signIns.issuer), ...CLIENT };
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
