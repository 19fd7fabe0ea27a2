import { createHash } from "node:crypto";
import { existsSync } from "node:fs";
import { copyFile, mkdtemp, open, readFile, rm, stat } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from "@jest/globals";
import type { NestFastifyApplication } from "@nestjs/platform-fastify";
import { Client } from "pg";
import { startApp } from "../../src/create-app.js";
import { discrepancies } from "../../src/features/audit/audit-state.js";
import { ChangesService } from "../../src/features/changes/changes.service.js";
import { DatasetService } from "../../src/features/dataset/dataset.service.js";
import { verifyChain } from "../../src/platform/audit-log/verify.js";
import { writeBackup } from "../../src/platform/backup/backup.js";
import { restoreBackup } from "../../src/platform/backup/restore.js";
import { CONFIG } from "../../src/platform/config/config.js";
import { Database } from "../../src/platform/database/database.js";
import { addJob } from "../../src/platform/queue/add-job.js";
import { startTestApp, type TestApp } from "../support/app.js";
import { createEmptyDatabase, type TestDatabase } from "../support/database.js";
import type { Descriptor } from "../support/downloaded.js";
import { productOf } from "../support/facts.js";
import { untilIdle } from "../support/idle.js";
import { Mirror } from "../support/mirror.js";
import { uploadCase } from "../support/uploads.js";

let app: TestApp;
let folder: string;
let target: TestDatabase;
let tester: { authorization: string };
let runId: string;
beforeAll(async () => {
  app = await startTestApp();
  tester = await app.signIn("keeper");
  const { body } = await uploadCase(app, tester, "Kept", "current-offset");
  runId = body.id;
  await uploadCase(app, tester, "Kept too", "ended-early-50hz");
  const payload = { decision: "accept", rules: [], note: "Looks right." };
  const headers = await app.signIn("judge", "moderator");
  const answer = await app.inject({ method: "POST", url: `/v1/runs/${runId}/reviews`, payload, headers });
  expect(answer.statusCode).toBe(201);
  // Copies are compared with a record that stands still.
  await untilIdle(app.database.connectionString);
});
afterAll(() => app.close());
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), "packledger-backup-test-"));
  target = await createEmptyDatabase();
});
afterEach(async () => {
  await target.drop();
  await rm(folder, { recursive: true });
});

const key = () => join(folder, "key.pem");
const backup = (name = "record.zip") => writeBackup(app.database.connectionString, join(folder, name), key());
const restore = (name = "record.zip") => restoreBackup(target.connectionString, join(folder, name), key());

/** Every public read that the record can be asked for, as it is answered. */
async function publicBytes(nest: NestFastifyApplication): Promise<Map<string, string>> {
  const found = new Map<string, string>();
  const ask = async (url: string) => {
    const { payload, statusCode } = await nest.inject({ method: "GET", url });
    expect(statusCode).toBe(200);
    found.set(url, payload);
    return payload;
  };
  const items = async (url: string) => (JSON.parse(await ask(url)) as { items: { id: string }[] }).items;
  for (const pack of await items("/v1/packs?first=50")) {
    await ask(`/v1/packs/${pack.id}`);
    await ask(`/v1/packs/${pack.id}/standings`);
  }
  for (const run of await items("/v1/runs?first=50")) {
    for (const part of ["", "/trace", "/log", "/history", "/evaluations"]) {
      const { statusCode } = await nest.inject({ method: "GET", url: `/v1/runs/${run.id}${part}` });
      if (statusCode === 200) await ask(`/v1/runs/${run.id}${part}`);
    }
  }
  for (const url of [
    "/v1/rankings/power-10s?chemistry=lipo",
    "/v1/rankings/capacity",
    "/v1/protocols",
    "/v1/classes",
  ]) {
    const { statusCode } = await nest.inject({ method: "GET", url });
    if (statusCode === 200) await ask(url);
  }
  return found;
}

/** The SHA-256 of what each table holds, whatever the order of its rows. */
async function contents(connectionString: string): Promise<Record<string, string>> {
  const client = new Client({ connectionString });
  await client.connect();
  const { rows } = await client.query<{ name: string }>(
    "select tablename as name from pg_tables where schemaname = 'public' and tablename <> '_prisma_migrations' order by 1",
  );
  const digests: Record<string, string> = {};
  for (const { name } of rows) {
    const found = await client.query<{ row: string }>(`select t::text as row from "${name}" t order by 1`);
    digests[name] = createHash("sha256")
      .update(found.rows.map(({ row }) => row).join("\n"))
      .digest("hex");
  }
  await client.end();
  return digests;
}

/** Roles that a test gives without an entry in the audit log are among them. */
async function allOf<T>(source: AsyncIterable<T>): Promise<T[]> {
  const found: T[] = [];
  for await (const one of source) found.push(one);
  return found;
}

describe("a backup", () => {
  it("restored elsewhere is the same record: every table, every public byte, the audit chain, and the jobs that wait", async () => {
    await app.database.$transaction((tx) => addJob(tx, "a task of tomorrow", { of: runId }, "tomorrow", "after a day"));
    const manifest = await backup();
    await restore();
    expect(manifest.files.map(({ path }) => path)).toContain("tables/log_chunk.copy");
    expect(await contents(target.connectionString)).toEqual(await contents(app.database.connectionString));
    const other = await startApp(
      { ...app.nest.get(CONFIG), poolerUrl: null, runsJobs: false },
      target.connectionString,
    );
    try {
      const public_ = await publicBytes(app.nest);
      expect([...public_.keys()].some((url) => url.endsWith("/log"))).toBe(true);
      expect(await publicBytes(other)).toEqual(public_);
      const database = other.get(Database);
      expect(await verifyChain(database, null, null)).toMatchObject({ broken: null });
      expect(await allOf(discrepancies(database))).toEqual(await allOf(discrepancies(app.database)));
      const jobs =
        await database.$queryRaw`select task_identifier as task from graphile_worker.jobs where key = 'tomorrow'`;
      expect(jobs).toEqual([{ task: "a task of tomorrow" }]);
    } finally {
      await other.close();
    }
  });

  it("lets the restored record go on: its numbers continue, and its rules hold again", async () => {
    await backup();
    await restore();
    const other = await startApp(
      { ...app.nest.get(CONFIG), poolerUrl: null, runsJobs: false },
      target.connectionString,
    );
    try {
      const database = other.get(Database);
      const payload = { handle: "later", password: "correct horse battery" };
      expect((await other.inject({ method: "POST", url: "/v1/accounts", payload })).statusCode).toBe(201);
      expect(await verifyChain(database, null, null)).toMatchObject({ broken: null });
      await expect(database.$executeRaw`delete from log`).rejects.toThrow();
      await expect(database.$executeRaw`update run set specimen_id = gen_random_uuid()`).rejects.toThrow();
    } finally {
      await other.close();
    }
  });

  it("tells mirrors and copies of the dataset that changes were lost, also when their numbers are given out again", async () => {
    await backup();
    const register = async (nest: Pick<NestFastifyApplication, "inject">, name: string) => {
      const answer = await nest.inject({ method: "POST", url: "/v1/packs", payload: productOf(name), headers: tester });
      expect(answer.statusCode).toBe(201);
    };
    await register(app.nest, "Lost");
    const mirror = new Mirror(app.nest);
    await mirror.follow();
    await app.nest.get(DatasetService).write();
    const lost = (await app.inject({ url: "/v1/dataset" })).json<Descriptor>();
    const url = lost.changes.path;
    const headers = { "if-none-match": String((await app.inject({ url })).headers.etag) };
    expect((await app.inject({ url, headers })).statusCode).toBe(304);
    await restore();
    const other = await startApp(
      { ...app.nest.get(CONFIG), poolerUrl: null, runsJobs: false },
      target.connectionString,
    );
    try {
      const status = async (at: string) => (await other.inject({ method: "GET", url: at, headers })).statusCode;
      const file = `/v1/${lost.resources[0]?.path}`;
      expect([await status(url), await status("/v1/dataset"), await status(file)]).toEqual([410, 503, 404]);
      await register(other, "Other");
      const again = other.get(ChangesService);
      expect((await again.newest()).position).toBe(lost.changes.position);
      const answer = await other.inject({ method: "GET", url, headers });
      expect(answer.json()).toMatchObject({ code: "record-restored", errors: [{ pointer: "/after" }] });
      expect([await status("/v1/dataset"), await status(file)]).toEqual([503, 404]);
      const query = `{ changes(after: "${new URL(url, app.url).searchParams.get("after")}") { edges { cursor } } }`;
      const graphql = await other.inject({ method: "POST", url: "/graphql", payload: { query } });
      expect(graphql.json()).toMatchObject({ errors: [{ extensions: { code: "record-restored" } }] });
      mirror.turnTo(other);
      await mirror.follow();
      const fresh = new Mirror(other);
      await fresh.follow();
      expect(mirror.things).toEqual(fresh.things);
      expect(JSON.stringify([...fresh.things.pack.values()])).not.toContain("Lost");
    } finally {
      await other.close();
    }
  });

  it("is of one instant, whatever is stored meanwhile", async () => {
    let isDone = false;
    const storing = (async () => {
      for (let i = 0; !isDone; i++) await app.signIn(`busy-${i}`);
    })();
    await backup();
    isDone = true;
    await storing;
    await restore();
    const client = new Database(target.connectionString, 2);
    expect(await verifyChain(client, null, null)).toMatchObject({ broken: null });
    const found = await allOf(discrepancies(client));
    expect(found).toEqual(
      (await allOf(discrepancies(app.database))).filter((one) => found.some(({ id }) => id === one.id)),
    );
    await client.onApplicationShutdown();
  });

  it("is its owner's alone, and keeps the key of checkpoints, which a restore puts where none is", async () => {
    const other = join(folder, "signing.pem");
    await copyFile(new URL(import.meta.url), other);
    await writeBackup(app.database.connectionString, join(folder, "record.zip"), other);
    expect((await stat(join(folder, "record.zip"))).mode & 0o077).toBe(0);
    await restore();
    expect(await readFile(key())).toEqual(await readFile(other));
    expect((await stat(key())).mode & 0o077).toBe(0);
  });
});

describe("a restore leaves the database empty, and says why,", () => {
  const accounts = async () => {
    const client = new Client({ connectionString: target.connectionString });
    await client.connect();
    const { rows } = await client.query("select to_regclass('account') is not null as made");
    const found = rows[0].made ? await client.query("select count(*)::int as n from account") : { rows: [{ n: 0 }] };
    await client.end();
    return found.rows[0].n;
  };

  it("of a backup with one bit turned", async () => {
    await backup();
    const file = join(folder, "record.zip");
    const { size } = await stat(file);
    const handle = await open(file, "r+");
    const byte = Buffer.alloc(1);
    const at = Math.floor(size / 2);
    await handle.read(byte, 0, 1, at);
    await handle.write(Buffer.from([(byte[0] ?? 0) ^ 1]), 0, 1, at);
    await handle.close();
    await expect(restore()).rejects.toThrow();
    expect(await accounts()).toBe(0);
    expect(existsSync(key())).toBe(false);
  });

  it("of a backup that was cut short", async () => {
    await backup();
    const file = join(folder, "record.zip");
    const handle = await open(file, "r+");
    await handle.truncate((await stat(file)).size - 100);
    await handle.close();
    await expect(restore()).rejects.toThrow();
    expect(await accounts()).toBe(0);
  });

  it("when it has data of its own", async () => {
    await backup();
    await restore();
    const before = await contents(target.connectionString);
    await expect(restore()).rejects.toThrow("has data already");
    expect(await contents(target.connectionString)).toEqual(before);
  });
});
