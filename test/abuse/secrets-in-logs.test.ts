import { spawn } from "node:child_process";
import { createHash, randomBytes } from "node:crypto";
import { once } from "node:events";
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as delay } from "node:timers/promises";
import { afterAll, beforeAll, expect, it } from "@jest/globals";
import request from "supertest";
import { projectRoot } from "../../src/platform/config/project-root.js";
import { Browser } from "../support/browser.js";
import { cloneDatabase, type TestDatabase } from "../support/database.js";
import { linkOf, type MailServer, type ReceivedMail, startMailServer } from "../support/mail-server.js";
import { type ObjectServer, startObjectServer } from "../support/objects/object-server.js";
import { type RunningProvider, startOpenIdProvider } from "../support/start-openid-provider.js";

const HOME = "http://localhost:1";
const draw = () => randomBytes(24).toString("base64url");

let database: TestDatabase;
let provider: RunningProvider;
let mails: MailServer;
let objects: ObjectServer;
let folder: string;
const client = { clientId: "packs", clientSecret: draw(), redirectUrl: `${HOME}/v1/sign-ins/callback` };
beforeAll(async () => {
  database = await cloneDatabase();
  provider = await startOpenIdProvider(client);
  mails = await startMailServer();
  folder = await mkdtemp(join(tmpdir(), "packledger-secrets-"));
  objects = await startObjectServer();
  // Its refusals tell whose key it was, and the signature.
  objects.misbehave(() => 403);
});
afterAll(async () => {
  await provider.stop();
  await mails.close();
  await objects.close();
  await rm(folder, { recursive: true });
  await database.drop();
});

/** The service as a process of its own, saying as much as it ever says. */
async function startService(setupToken: string) {
  const child = spawn(process.execPath, [join(projectRoot, "dist/src/main.js")], {
    env: {
      PATH: process.env.PATH ?? "",
      NODE_COMPILE_CACHE: process.env.NODE_COMPILE_CACHE ?? "",
      DATABASE_URL: database.connectionString,
      PORT: "0",
      LOG_LEVEL: "debug",
      SETUP_TOKEN: setupToken,
      OIDC_ISSUER: provider.issuer,
      OIDC_CLIENT_ID: client.clientId,
      OIDC_CLIENT_SECRET: client.clientSecret,
      OIDC_REDIRECT_URL: client.redirectUrl,
      SMTP_URL: mails.settings.smtpUrl.href,
      MAIL_FROM: mails.settings.from,
      PUBLIC_URL: mails.settings.publicUrl.href,
      MAIL_DELAY_SECONDS: "0",
      S3_ENDPOINT: objects.settings.endpoint.href,
      S3_REGION: objects.settings.region,
      S3_BUCKET: objects.settings.bucket,
      S3_ACCESS_KEY_ID: objects.settings.accessKeyId,
      S3_SECRET_ACCESS_KEY: objects.settings.secretAccessKey,
      DATA_DIR: folder,
    },
    stdio: ["ignore", "pipe", "pipe"],
  });
  let said = "";
  const url = await new Promise<string>((resolve, reject) => {
    for (const stream of [child.stdout, child.stderr]) {
      stream.on("data", (chunk: Buffer) => {
        said += chunk;
        const found = /Packledger answers at (\S+)[\s\S]*POST \S+\/v1\/administrators/.exec(said)?.[1];
        if (found) resolve(found);
      });
    }
    child.once("exit", () => reject(new Error(`the service ended: ${said}`)));
  });
  return {
    url,
    said: () => said,
    async stop() {
      const ended = once(child, "exit");
      child.kill("SIGTERM");
      await ended;
    },
  };
}

it("the service writes no password, token, key, code or other secret into its log, whatever it is sent", async () => {
  const [setupToken, password, other, wrong, stray] = [draw(), draw(), draw(), draw(), draw()];
  const secrets = [setupToken, password, other, wrong, stray, client.clientSecret];
  secrets.push(objects.settings.secretAccessKey, objects.settings.accessKeyId);
  const keep = (secret: unknown): string => {
    expect(typeof secret).toBe("string");
    secrets.push(String(secret));
    return String(secret);
  };
  const service = await startService(setupToken);
  try {
    const send = async (method: string, path: string, body: unknown, token?: string) => {
      const headers = {
        "content-type": "application/json",
        ...(token ? { authorization: `Bearer ${token}` } : {}),
      };
      const text = typeof body === "string" ? body : JSON.stringify(body);
      const response = await fetch(service.url + path, {
        method,
        headers,
        ...(method === "GET" ? {} : { body: text }),
      });
      const answer = await response.text();
      return { status: response.status, body: answer === "" ? {} : (JSON.parse(answer) as Record<string, unknown>) };
    };
    expect((await send("POST", "/v1/administrators", { token: setupToken, handle: "ada", password })).status).toBe(201);
    await send("POST", "/v1/administrators", { token: stray, handle: "eve", password });
    await send("POST", "/v1/accounts", { handle: "anna", password });
    await send("POST", "/v1/accounts", { handle: "anna", password, token: stray });
    await send("POST", "/v1/sessions", { handle: "anna", password: wrong });
    await send("POST", "/v1/sessions", `{"handle": "anna", "password": "${password}"`);
    await send("POST", `/v1/sessions?password=${password}`, { handle: "anna", password: wrong });
    const token = keep((await send("POST", "/v1/sessions", { handle: "anna", password })).body.token);
    await send("PUT", "/v1/accounts/me/password", { password: wrong, newPassword: other }, token);
    await send("PUT", "/v1/accounts/me/password", { password, newPassword: other }, token);
    const key = keep((await send("POST", "/v1/keys", { label: "app", scopes: ["read"] }, token)).body.key);
    await send("POST", "/v1/keys", { label: "app", scopes: [] }, key);
    await send("GET", `/v1/packs?token=${token}&key=${key}`, null, key);
    await send("GET", "/v1/accounts/me", null, stray);
    await send("GET", "/v1/accounts/me", null, `${stray}${stray}${stray}`);
    const query = "mutation($input: CredentialsInput!) { createSession(input: $input) { token } }";
    const graphql = await send("POST", "/graphql", {
      query,
      variables: { input: { handle: "anna", password: other } },
    });
    keep((graphql.body.data as { createSession: { token: string } }).createSession.token);
    await send("POST", "/graphql", { query, variables: { input: { handle: "anna", password: wrong } } });
    await send("POST", "/graphql", {
      query: `mutation { createSession(input: {handle: "anna", password: "${other}"}) }`,
    });
    await send("POST", "/graphql", { query: `{ me { id } password(is: "${other}") }` }, token);
    await send("GET", `/graphql?query={me{id}}&token=${token}`, null);
    expect((await send("GET", "/v1/dataset", null)).status).toBe(503);
    const upload = () => request(service.url).post("/v1/runs").set("authorization", `Bearer ${token}`);
    const broken = upload().field("run", `{"password": "${password}"`);
    expect((await broken.attach("log", Buffer.from("t,V\n"), `${stray}.csv`)).status).toBe(400);
    await upload().set("content-type", "multipart/form-data; boundary=x").send(`--x\r\n${stray}`);

    const address = "/v1/accounts/me/mail-address";
    await send("PUT", address, { address: keep("anna lind@bench.example") }, token);
    await send("PUT", address, { address: keep("anna.gone@bench.example") }, token);
    await mails.until(1);
    const confirm = keep(linkOf(mails.mails[0] as ReceivedMail, "confirm"));
    const form = (path: string) => fetch(service.url + path, { method: "POST", body: new URLSearchParams({ a: "b" }) });
    expect((await form(confirm)).status).toBe(200);
    expect((await form(confirm)).status).toBe(404);
    await fetch(service.url + confirm, { method: "DELETE" });
    // The server refuses the address for good, and what refuses it names it.
    mails.refuse(550);
    await send("PUT", address, { address: keep("anna.new@bench.example") }, token);
    while (mails.refused() === 0) await delay(20);
    const stray43 = keep(randomBytes(32).toString("base64url"));
    await form(`/v1/mail/unsubscribe/${stray43}`);

    const verifier = keep(randomBytes(32).toString("base64url"));
    const challenge = createHash("sha256").update(verifier).digest("base64url");
    const browser = new Browser({ [HOME]: service.url });
    const login = await browser.open(`${HOME}/v1/sign-ins/start?challenge=${challenge}`);
    const page = await browser.send(await browser.send(login, { login: "subject-anna", password: "any" }), {});
    const code = keep((JSON.parse(page.text) as { code: string }).code);
    for (const address of browser.visited.filter((one) => one.startsWith(HOME))) {
      const { searchParams } = new URL(address);
      for (const name of ["code", "state"]) if (searchParams.has(name)) keep(searchParams.get(name));
    }
    await browser.open(`${HOME}/v1/sign-ins/callback?code=${stray}&state=${stray}&iss=${provider.issuer}`);
    await browser.open(`${HOME}/v1/sign-ins/start?challenge=${challenge}`, null, /interaction/);
    await browser.open(`${HOME}/v1/sign-ins/callback?code=${stray}&state=${stray}&iss=${provider.issuer}`);
    await send("POST", "/v1/sign-ins", { code: stray, verifier });
    await send("POST", "/v1/sign-ins", { code, verifier });
    const session = await send("POST", "/v1/sign-ins", { code, verifier, handle: "subject-a" });
    keep(session.body.token);
  } finally {
    await service.stop();
  }
  const said = service.said();
  // It did speak, of every request: else what follows would show nothing.
  for (const path of [
    "/v1/mail/confirm/...",
    "/v1/mail/unsubscribe/...",
    "/v1/sessions",
    "/v1/keys",
    "/graphql",
    "/v1/runs",
    "/v1/sign-ins/callback",
  ]) {
    expect(said).toContain(`"path":"${path}"`);
  }
  expect(said).toContain("a mail was not sent");
  expect(said).toContain("the object storage cannot be used for reading: it answered 403 AccessDenied");
  expect(secrets.length).toBeGreaterThan(13);
  for (const [index, secret] of secrets.entries()) expect([index, said.includes(secret)]).toEqual([index, false]);
  expect(said).not.toMatch(/bearer|\$argon2|"authorization"|"cookie"|signature=/i);
});
