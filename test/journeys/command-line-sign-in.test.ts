import { spawn } from "node:child_process";
import { once } from "node:events";
import { mkdtemp, readFile, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, expect, it } from "@jest/globals";
import { projectRoot } from "../../src/platform/config/project-root.js";
import { startTestApp, type TestApp } from "../support/app.js";
import { Browser } from "../support/browser.js";
import { type RunningProvider, startOpenIdProvider } from "../support/start-openid-provider.js";

const HOME = "http://localhost:1";
const client = {
  clientId: "packs",
  clientSecret: "a secret of the tests alone",
  redirectUrl: `${HOME}/v1/sign-ins/callback`,
};

let app: TestApp;
let provider: RunningProvider;
let folder: string;
beforeAll(async () => {
  provider = await startOpenIdProvider(client);
  const urls = { issuer: new URL(provider.issuer), redirectUrl: new URL(client.redirectUrl) };
  app = await startTestApp({ identityProvider: { ...client, ...urls } });
  folder = await mkdtemp(join(tmpdir(), "packledger-sign-in-"));
});
afterAll(async () => {
  await rm(folder, { recursive: true });
  await app.close();
  await provider.stop();
});

it("packledger login --browser keeps a session for who signed in elsewhere, and shows neither code nor token", async () => {
  const child = spawn(
    process.execPath,
    [join(projectRoot, "dist", "src", "cli.js"), "login", "--browser", "--server", app.url],
    { env: { ...process.env, XDG_CONFIG_HOME: folder, PACKLEDGER_TOKEN: "" }, stdio: "pipe" },
  );
  let said = "";
  child.stdout.on("data", (chunk: Buffer) => {
    said += chunk;
  });
  const ended = once(child, "exit");
  const challenge = await new Promise<string>((resolve) => {
    child.stderr.on("data", (chunk: Buffer) => {
      said += chunk;
      const found = /start\?challenge=([\w-]{43})/.exec(said)?.[1];
      if (found) resolve(found);
    });
  });
  const browser = new Browser({ [HOME]: app.url });
  const login = await browser.open(`${HOME}/v1/sign-ins/start?challenge=${challenge}`);
  const consent = await browser.send(login, { login: "subject-clara", password: "any" });
  const { text } = await browser.send(consent, {});
  const { code } = JSON.parse(text) as { code: string };
  child.stdin.end(`${code}\nclara\n`);
  const [exitCode] = await ended;
  expect([exitCode, said]).toEqual([0, expect.stringContaining("is kept in")]);
  const sessions = JSON.parse(await readFile(join(folder, "packledger", "sessions.json"), "utf8"));
  const token: string = sessions[app.url];
  const me = await app.inject({ url: "/v1/accounts/me", headers: { authorization: `Bearer ${token}` } });
  expect(me.json()).toMatchObject({ handle: "clara", role: "tester" });
  expect(said).not.toContain(code);
  expect(said).not.toContain(token);
});
