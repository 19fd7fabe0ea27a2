import { mkdtemp, readFile, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as delay } from "node:timers/promises";
import { afterAll, beforeAll, expect, it } from "@jest/globals";
import type { NestFastifyApplication } from "@nestjs/platform-fastify";
import { Client } from "pg";
import { startApp } from "../../src/create-app.js";
import { readConfig } from "../../src/platform/config/config.js";
import { type EmbeddedServer, startEmbeddedServer } from "../../src/platform/database/embedded/embedded-server.js";
import { prepareDatabase } from "../../src/prepare-database.js";
import { PATIENT } from "../support/app.js";
import { productOf } from "../support/facts.js";
import { logCase, postForm } from "../support/uploads.js";

const CASE = logCase("too-hot");

let parent: string;
let server: EmbeddedServer;
let app: NestFastifyApplication;
let url: string;
beforeAll(async () => {
  parent = await mkdtemp(join(tmpdir(), "packledger-away-"));
  server = await startEmbeddedServer(join(parent, "data"));
  await prepareDatabase(server.connectionString);
  const config = { ...readConfig({ LOG_LEVEL: "silent", DATABASE_CONNECTIONS: "5" }), ...PATIENT };
  app = await startApp(config, server.connectionString);
  await app.listen({ port: 0, host: "127.0.0.1" });
  url = await app.getUrl();
});
afterAll(async () => {
  await app.close();
  await server.stop();
  await rm(parent, { recursive: true });
});

async function post(path: string, json: object, headers: Record<string, string> = {}): Promise<Response> {
  const body = JSON.stringify(json);
  return fetch(`${url}${path}`, { method: "POST", body, headers: { ...headers, "content-type": "application/json" } });
}

async function idOf(response: Response): Promise<string> {
  return ((await response.json()) as { id: string }).id;
}

async function processesOf({ connectionString }: EmbeddedServer): Promise<number[]> {
  const client = new Client({ connectionString });
  await client.connect();
  const { rows } = await client.query<{ pid: number }>("SELECT pid FROM pg_stat_activity");
  await client.end();
  return rows.map(({ pid }) => pid);
}

function isAlive(pid: number): boolean {
  try {
    return process.kill(pid, 0);
  } catch {
    return false;
  }
}

it("while the database is away every request is asked to come back, and once it is back all is as before", async () => {
  const account = { handle: "anna", password: "correct horse battery" };
  await post("/v1/accounts", account);
  const { token } = (await (await post("/v1/sessions", account)).json()) as { token: string };
  const headers = { authorization: `Bearer ${token}` };
  const packId = await idOf(await post("/v1/packs", productOf("Sprint", CASE.pack), headers));
  const specimenId = await idOf(await post("/v1/specimens", { packId, label: "no. 1", cycles: 12 }, headers));
  const benchId = await idOf(await post("/v1/benches", { ...CASE.bench, label: "Bench" }, headers));
  const run = { protocol: "full-load", specimenId, benchId, ...CASE.conditions };

  const pid = (await readFile(join(parent, "data", "database", "postmaster.pid"), "utf8")).split("\n")[0];
  const pids = await processesOf(server);
  process.kill(Number(pid), "SIGKILL");
  await server.stop();
  // A process of the database ends when it notices that the first one has, and may answer until then.
  while (pids.some(isAlive)) await delay(20);
  const answers = [
    await fetch(`${url}/v1/packs`),
    await fetch(`${url}/health/ready`),
    await post("/graphql", { query: "{ packs { edges { node { id } } } }" }),
    await post("/v1/packs", productOf("Anvil", CASE.pack), headers),
  ];
  const upload = () => postForm(`${url}/v1/runs`, run, CASE.log, { headers });
  const fields = answers.map(({ status, headers }) => [status, headers.get("retry-after")]);
  const { status, headers: uploadFields } = await upload();
  for (const field of [...fields, [status, uploadFields["retry-after"]]])
    expect(field).toEqual([503, expect.stringMatching(/^\d+$/)]);

  server = await startEmbeddedServer(join(parent, "data"));
  expect((await fetch(`${url}/health/ready`)).status).toBe(200);
  const uploaded = await upload();
  expect(uploaded.status).toBe(201);
  expect(uploaded.body.state).toBe("processed");
});
