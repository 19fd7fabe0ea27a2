import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as delay } from "node:timers/promises";
import { afterAll, beforeAll, beforeEach, expect, it } from "@jest/globals";
import type { NestFastifyApplication } from "@nestjs/platform-fastify";
import { startApp } from "../../src/create-app.js";
import { CopiesService } from "../../src/features/copies/copies.service.js";
import { readConfig } from "../../src/platform/config/config.js";
import { Database } from "../../src/platform/database/database.js";
import { type EmbeddedServer, startEmbeddedServer } from "../../src/platform/database/embedded/embedded-server.js";
import { Metrics } from "../../src/platform/metrics/metrics.js";
import { prepareDatabase } from "../../src/prepare-database.js";
import { closeApp } from "../../src/start-service.js";
import type { TestApp } from "../support/app.js";
import { PACK, productOf } from "../support/facts.js";
import { LADDER_BENCH, LADDER_PACK, ladderStepLog } from "../support/ladder-step.js";
import { Standby } from "../support/standby.js";
import { postForm, register, uploadCase } from "../support/uploads.js";

// A streaming replica of PostgreSQL's own ("Log-Shipping Standby Servers"), whose replay is held up by its own functions ("Recovery Control Functions").

let folder: string;
let server: EmbeddedServer;
let standby: Standby;
let service: NestFastifyApplication;
let tester: { authorization: string };
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), "packledger-replica-"));
  server = await startEmbeddedServer(join(folder, "data"), { serverSettings: ["fsync=off"] });
  await prepareDatabase(server.connectionString);
  standby = await Standby.of(server, join(folder, "data", "database"), join(folder, "standby"));
  const config = { LOG_LEVEL: "silent", DATA_DIR: join(folder, "service"), DATABASE_CONNECTIONS: "4" };
  const addresses = { DATABASE_URL: server.connectionString, REPLICA_URL: standby.connectionString };
  service = await startApp(readConfig({ ...config, ...addresses }), server.connectionString);
  await service.listen({ port: 0, host: "127.0.0.1" });
  tester = await signIn("anna");
});
afterAll(async () => {
  await closeApp(service);
  await standby.kill();
  await server.stop();
  await rm(folder, { recursive: true });
});

async function signIn(handle: string) {
  const payload = { handle, password: "correct horse battery" };
  await service.inject({ method: "POST", url: "/v1/accounts", payload });
  const session = await service.inject({ method: "POST", url: "/v1/sessions", payload });
  return { authorization: `Bearer ${session.json<{ token: string }>().token}` };
}

/** Public reads so far, by what answered. */
async function answered(): Promise<Record<string, number>> {
  const { values } = await service.get(Metrics).replicaReads.get();
  return Object.fromEntries(values.map(({ labels, value }) => [String(labels.source), value]));
}

/** Reads until the replica answers, as it does again within a second. */
async function untilReplicaAnswers(): Promise<void> {
  for (const { replica: before = 0 } = await answered(); ((await answered()).replica ?? 0) === before; ) {
    await names();
    await delay(20);
  }
}

let packs = 0;
async function registerPack(): Promise<string> {
  const name = `Ridge ${++packs}`;
  const payload = productOf(name, { ...PACK, ratedCapacityMah: 1_000 + 100 * packs });
  const answer = await service.inject({ method: "POST", url: "/v1/packs", payload, headers: tester });
  expect(answer.statusCode).toBe(201);
  return answer.json<{ name: string }>().name;
}

/** Every address that a replica may answer, once there is a run that counts. */
async function addresses(): Promise<string[]> {
  const url = await service.getUrl();
  const inject = service.inject.bind(service) as TestApp["inject"];
  const { body } = await uploadCase({ url, inject }, tester, "Sprint", "plain-20hz");
  const { id, pack } = body;
  const conditions = { ambientC: 21, restMinutes: 30, cycles: 12, setpointA: 60 };
  const facts = { log: new Uint8Array(), pack: LADDER_PACK, bench: LADDER_BENCH, conditions };
  const { packId, ...ids } = await register({ inject }, tester, "Rung", facts);
  const run = { protocol: "current-ladder", startedAt: "2026-05-02T09:12:00Z", ...ids, ...conditions };
  const { body: step } = await postForm(`${url}/v1/runs`, run, ladderStepLog(60), { headers: tester });
  const headers = await signIn("mona");
  await service.get(Database).account.updateMany({ where: { handle: "mona" }, data: { role: "moderator" } });
  const payload = { decision: "accept", rules: [], note: "Looked at." };
  for (const one of [id, step.id]) {
    await service.get(CopiesService).awaitCheck(one);
    const accepted = await inject({ method: "POST", url: `/v1/runs/${one}/reviews`, payload, headers });
    expect(accepted.statusCode).toBe(201);
  }
  return [
    "/v1/rankings/power-10s?standing=all",
    "/v1/rankings/power-10s.csv?standing=all",
    `/v1/rankings/power-10s?standing=all&asOf=${new Date().toISOString().slice(0, 10)}`,
    `/v1/rankings/power-10s/packs/${pack.id}`,
    `/v1/rankings/power-10s/packs/${pack.id}/cycles`,
    "/v1/classes",
    "/v1/packs",
    `/v1/packs/${pack.id}`,
    `/v1/packs/${pack.id}/standings`,
    `/v1/packs/${pack.id}/runs`,
    `/v1/packs/${packId}/ladders`,
    `/v1/ladders/${ids.specimenId}`,
    "/v1/runs",
    `/v1/runs/${id}`,
    `/v1/runs/${id}/trace?points=20`,
    `/v1/runs/${id}/readings?at=20`,
    `/v1/comparisons?packs=${pack.id},${packId}`,
    "/v1/changes",
    "/v1/changes.atom",
    "/v1/testers/anna",
  ];
}

/** What is answered to a name of the service under which nothing is kept yet. */
async function answersTo(urls: readonly string[], host: string, before?: () => void) {
  const answers: unknown[] = [];
  for (const url of urls) {
    before?.();
    const { statusCode, headers, body } = await service.inject({ url, headers: { host } });
    expect([url, statusCode]).toEqual([url, 200]);
    answers.push([url, headers.etag, body.replaceAll(host, "packs.example")]);
  }
  return answers;
}

/** What strangers read over GraphQL, each with the pack, the run and the specimen of which it is. */
const QUERIES = [
  "{ ranking(figure: POWER_10S, standing: ALL) { edges { node { place value pack { id name } } } } }",
  "{ packs { edges { node { id name } } } classes { edges { node { chemistry series } } } }",
  "{ runs { edges { node { id pack { name } figures { key value } } } } changes { edges { node { changedAt } } } }",
  '{ tester(handle: "anna") { handle } }',
];

const graphql = (query: string, headers: Record<string, string> = {}) =>
  service.inject({ method: "POST", url: "/graphql", payload: { query }, headers });

const ask = (headers: Record<string, string> = {}) => service.inject({ url: "/v1/packs?first=100", headers });
const names = async () => (await ask()).json<{ items: { name: string }[] }>().items.map(({ name }) => name);

beforeEach(untilReplicaAnswers);

it("a stranger is answered by the replica, with all that was written just before; whoever says who they are by the primary", async () => {
  const name = await registerPack();
  expect(await names()).toContain(name);
  await untilReplicaAnswers();
  const before = await answered();
  expect((await ask(tester)).statusCode).toBe(200);
  expect(await answered()).toEqual(before);
});

it("while the replica shows nothing new, everybody sees what was written, and no kept answer goes back", async () => {
  const old = await ask();
  await standby.pause();
  const name = await registerPack();
  const { replica } = await answered();
  const answer = await ask({ "if-none-match": String(old.headers.etag) });
  expect(answer.statusCode).toBe(200);
  expect(answer.body).toContain(name);
  for (let n = 0; n < 3; n++) expect((await ask()).body).toBe(answer.body);
  expect((await answered()).replica).toBe(replica);
  await standby.resume();
  await untilReplicaAnswers();
  const after = await ask({ "if-none-match": String(answer.headers.etag) });
  expect(after.statusCode).toBe(304);
});

it("every address that the replica may answer is answered by it as by the primary", async () => {
  const urls = await addresses();
  await untilReplicaAnswers();
  const { primary } = await answered();
  const ofReplica = await answersTo(urls, "replica.example");
  expect((await answered()).primary).toBe(primary);
  const leaveAlone = () => service.get(Database).replica?.failed(new Error("is left alone for a moment"));
  const ofPrimary = await answersTo(urls, "primary.example", leaveAlone);
  expect((await answered()).primary).toBe((primary ?? 0) + urls.length);
  expect(ofPrimary).toEqual(ofReplica);
});

it("a stranger's query is answered by the replica as by the primary, and by the primary alone what has other fields, or a session", async () => {
  await untilReplicaAnswers();
  const { primary = 0, replica = 0 } = await answered();
  const ofReplica: string[] = [];
  for (const query of [...QUERIES, ...QUERIES]) ofReplica.push((await graphql(query)).body);
  for (const body of ofReplica) expect(JSON.parse(body)).not.toHaveProperty("errors");
  expect((await answered()).replica).toBe(replica + 2 * QUERIES.length);
  for (const wrong of ["{ packs { nothing } }", "{ pack(id: 5) { id } }", '{ tester(handle: "nobody") { handle } }']) {
    expect((await graphql(wrong)).body).toContain("errors");
  }
  const before = await answered();
  await graphql("{ packs(first: 1) { edges { node { id } } } }");
  const after = await answered();
  expect(after).toEqual({ primary, replica: (before.replica ?? 0) + 1 });
  const ofPrimary: string[] = [];
  for (const query of QUERIES) ofPrimary.push((await graphql(query, tester)).body);
  expect([...ofPrimary, ...ofPrimary]).toEqual(ofReplica);
  for (const query of ["{ protocols { edges { node { key } } } }", "{ packs { totalCount } me { handle } }"]) {
    expect((await graphql(query)).statusCode).toBe(200);
  }
  const { body } = await graphql("mutation { closeSession }");
  expect(body).toContain("errors");
  expect(await answered()).toEqual(after);
});

it("a query shows what was written while the replica shows nothing new, and what fails there is asked of the primary", async () => {
  const query = "{ packs(first: 100) { edges { node { name } } } }";
  await untilReplicaAnswers();
  await standby.pause();
  const name = await registerPack();
  const { replica = 0, primary = 0 } = await answered();
  expect((await graphql(query)).body).toContain(name);
  await standby.resume();
  await untilReplicaAnswers();
  const before = await answered();
  expect(before.primary).toBeGreaterThan(primary);
  expect(before.replica).toBeGreaterThan(replica);
  const pool = service.get(Database).pool as unknown as { replica: { connect: (...args: unknown[]) => unknown } };
  const { connect } = pool.replica;
  let lost = 0;
  // Asked where it is, it answers.
  pool.replica.connect = (...args) => {
    if (args.length > 0) return connect.apply(pool.replica, args);
    lost++;
    return Promise.reject(new Error("Connection terminated unexpectedly"));
  };
  const answer = await graphql(query).finally(() => {
    pool.replica.connect = connect;
  });
  expect(lost).toBeGreaterThan(0);
  expect([answer.statusCode, answer.json()]).toEqual([200, { data: expect.anything() }]);
  expect(answer.body).toContain(name);
  expect(await answered()).toEqual({ replica: before.replica, primary: (before.primary ?? 0) + 1 });
});

it("a replica that is killed takes no answer with it, and answers again when it is back", async () => {
  let isDown = false;
  const statuses: number[] = [];
  const reading = Array.from({ length: 4 }, async () => {
    for (let left = 5; left > 0; ) {
      statuses.push((await ask()).statusCode, (await graphql(QUERIES[1] as string)).statusCode);
      if (isDown) left--;
    }
  });
  await standby.kill();
  isDown = true;
  await Promise.all(reading);
  expect(new Set(statuses)).toEqual(new Set([200]));
  const name = await registerPack();
  expect(await names()).toContain(name);
  await standby.start();
});

it("a replica that became a server of its own answers nobody", async () => {
  await standby.promote();
  const { replica } = await answered();
  const name = await registerPack();
  for (let n = 0; n < 3; n++) expect(await names()).toContain(name);
  await delay(600);
  expect(await names()).toContain(name);
  expect((await answered()).replica).toBe(replica);
});
