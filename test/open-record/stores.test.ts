import { createHash, randomUUID } from "node:crypto";
import { readdirSync, readFileSync, renameSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import type { NestFastifyApplication } from "@nestjs/platform-fastify";
import { createApp } from "../../src/create-app.js";
import { ChangesService } from "../../src/features/changes/changes.service.js";
import { DatasetRepository } from "../../src/features/dataset/dataset.repository.js";
import { DatasetService } from "../../src/features/dataset/dataset.service.js";
import { CONFIG, type Config } from "../../src/platform/config/config.js";
import { Metrics } from "../../src/platform/metrics/metrics.js";
import { ObjectStorage } from "../../src/platform/object-storage/object-storage.js";
import type { JobHandler, JobQueue } from "../../src/platform/queue/job-queue.js";
import { startTestApp, type TestApp } from "../support/app.js";
import type { Descriptor, Resource } from "../support/downloaded.js";
import { type ObjectServer, startObjectServer } from "../support/objects/object-server.js";
import { StoredRuns } from "../support/stored-runs.js";

/** What a store holds, seen past the service. */
interface Held {
  snapshots(): string[];
  files(): string[];
  textOf(snapshot: string): string;
  /** Bytes of a file. */
  bytesOf(sha256: string): Buffer;
  put(snapshot: string, text: string): void;
  remove(snapshot: string): void;
  removeFile(sha256: string): void;
}

/** A service and a worker of its own that share a store. */
interface Sharing {
  readonly service: NestFastifyApplication;
  readonly worker: NestFastifyApplication;
  readonly held: Held;
}

const STORES = ["a folder", "object storage"] as const;
type Store = (typeof STORES)[number];

let app: TestApp;
let runs: StoredRuns;
let recordId: string;
let server: ObjectServer;
const folder = join(tmpdir(), `packledger-stores-${randomUUID()}`);
const stores = new Map<Store, Sharing>();
beforeAll(async () => {
  app = await startTestApp();
  server = await startObjectServer({ pageSize: 5, prefix: "open/" });
  runs = new StoredRuns(app);
  for (const handle of ["anna", "bert"]) await runs.add(handle, "Sprint");
  await runs.settled();
  recordId = await app.nest.get(ChangesService).recordId();
  const start = (change: Partial<Config>) =>
    createApp({ ...app.nest.get<Config>(CONFIG), runsJobs: false, ...change }, app.database.connectionString);
  const inFolder = { dataFolder: folder };
  stores.set("a folder", { service: await start(inFolder), worker: await start(inFolder), held: heldInFolder() });
  const asObjects = (name: string) => ({ dataFolder: join(folder, name), objectStorage: server.settings });
  stores.set("object storage", {
    service: await start(asObjects("of-service")),
    worker: await start(asObjects("of-worker")),
    held: heldAsObjects(),
  });
});
afterAll(async () => {
  for (const { service, worker } of stores.values()) for (const one of [service, worker]) await one.close();
  await server.close();
  await app.close();
  rmSync(folder, { recursive: true });
});

function heldInFolder(): Held {
  const at = (...names: string[]) => join(folder, "dataset", recordId, ...names);
  return {
    snapshots: () => readdirSync(at("snapshots")).sort(),
    files: () => readdirSync(at("files")).sort(),
    textOf: (snapshot) => readFileSync(at("snapshots", snapshot), "utf8"),
    bytesOf: (sha256) => readFileSync(at("files", sha256)),
    put: (snapshot, text) => writeFileSync(at("snapshots", snapshot), text),
    remove: (snapshot) => rmSync(at("snapshots", snapshot)),
    removeFile: (sha256) => renameSync(at("files", sha256), join(folder, sha256)),
  };
}

function heldAsObjects(): Held {
  const key = (shelf: string, name = "") => `open/${recordId}/${shelf}/${name}`;
  const names = (shelf: string) =>
    [...server.objects.keys()]
      .filter((one) => one.startsWith(key(shelf)))
      .map((one) => one.slice(key(shelf).length))
      .sort();
  return {
    snapshots: () => names("snapshots"),
    files: () => names("files"),
    textOf: (snapshot) => String(server.objects.get(key("snapshots", snapshot))),
    bytesOf: (sha256) => server.objects.get(key("files", sha256)) as Buffer,
    put: (snapshot, text) => server.objects.set(key("snapshots", snapshot), Buffer.from(text)),
    remove: (snapshot) => server.objects.delete(key("snapshots", snapshot)),
    removeFile: (sha256) => server.objects.delete(key("files", sha256)),
  };
}

const of = (store: Store) => stores.get(store) as Sharing;
const objects = () => of("object storage");
const write = ({ worker }: Sharing) => worker.get(DatasetService).write();
const ask = (
  from: NestFastifyApplication,
  url: string,
  headers: Record<string, string> = {},
  method: "GET" | "HEAD" = "GET",
) => from.inject({ method, url, headers });
const hashes = ({ resources }: Descriptor) => resources.map(({ hash }) => hash.slice("sha256:".length));

async function descriptorOf(from: NestFastifyApplication): Promise<Descriptor> {
  const answer = await ask(from, "/v1/dataset");
  expect(answer.statusCode).toBe(200);
  return answer.json<Descriptor>();
}

async function resourceOf(from: NestFastifyApplication, kind = "figures", format = "parquet"): Promise<Resource> {
  const { resources } = await descriptorOf(from);
  return resources.find((one) => one.name.startsWith(`${kind}-`) && one.format === format) as Resource;
}

/** As if the snapshots had been made on other days: those of some ids have what the last one has, which is gone. */
function backdate({ held }: Sharing, ids: readonly string[]): void {
  const last = held.snapshots().at(-1) as string;
  const snapshot = JSON.parse(held.textOf(last));
  for (const id of ids) held.put(`${id}.json`, JSON.stringify({ ...snapshot, id }));
  held.remove(last);
}

describe.each(STORES)("the dataset in %s", (store) => {
  it("is there for a service as soon as a worker has made it, and whole", async () => {
    const { service, worker, held } = of(store);
    const before = await ask(service, "/v1/dataset");
    expect([before.statusCode, before.headers["retry-after"]]).toEqual([503, "60"]);
    // Both at once: one makes it, and the other finds it made.
    await Promise.all([service, worker].map((one) => one.get(DatasetService).write()));
    const descriptor = await descriptorOf(service);
    expect(held.snapshots()).toEqual([`${descriptor.version}.json`]);
    expect(held.files()).toEqual([...new Set(hashes(descriptor))].sort());
    for (const { path, bytes, hash } of descriptor.resources) {
      const { statusCode, rawPayload } = await ask(service, `/v1/${path}`);
      const digest = createHash("sha256").update(rawPayload).digest("hex");
      expect([statusCode, rawPayload.length, `sha256:${digest}`]).toEqual([200, bytes, hash]);
    }
  });

  it("is made anew where something changed, and shares the rest with the six snapshots before", async () => {
    const { worker, held } = of(store);
    const days = Array.from({ length: 8 }, (_, day) => `2026-01-0${day + 1}`);
    const before = hashes(await descriptorOf(worker));
    backdate(of(store), days);
    await runs.add("bert", `Ridge of ${store}`);
    await runs.settled();
    await write(of(store));
    const descriptor = await descriptorOf(worker);
    expect(held.snapshots()).toEqual([...days.slice(-6), descriptor.version].map((id) => `${id}.json`));
    const now = hashes(descriptor);
    expect(now.some((one) => !before.includes(one))).toBe(true);
    expect(held.files()).toEqual([...new Set([...now, ...before])].sort());
    const old = await ask(worker, `/v1/dataset/${days.at(-1)}/datapackage.json`);
    expect(hashes(old.json<Descriptor>())).toEqual(before);
    expect((await ask(worker, `/v1/dataset/${days[0]}/datapackage.json`)).statusCode).toBe(404);
  });

  it("removes what a try that was cut short has left, also where the day has its snapshot", async () => {
    const { held } = of(store);
    const [files, snapshots] = [held.files(), held.snapshots()];
    held.put("2019-01-01.json", JSON.stringify({ ...JSON.parse(held.textOf(snapshots[0] as string)), format: 1 }));
    await write(of(store));
    expect([held.files(), held.snapshots()]).toEqual([files, snapshots]);
  });

  it("finds a snapshot by its id that was added a moment ago", async () => {
    const { service, worker, held } = of(store);
    const { version } = await descriptorOf(service);
    held.put("2026-01-09.json", JSON.stringify({ ...JSON.parse(held.textOf(`${version}.json`)), id: "2026-01-09" }));
    for (const one of [service, worker]) {
      const { statusCode, body } = await ask(one, "/v1/dataset/2026-01-09/datapackage.json");
      expect([statusCode, JSON.parse(body).version]).toEqual([200, "2026-01-09"]);
    }
    held.remove("2026-01-09.json");
  });

  it("answers 404 for a file that is gone, with nothing that belongs to a file, until it is made again", async () => {
    const { worker, held } = of(store);
    const { path, hash } = await resourceOf(worker, "packs", "csv");
    held.removeFile(hash.slice("sha256:".length));
    for (const headers of [{}, { range: "bytes=0-3" }] as Record<string, string>[]) {
      const { statusCode, headers: fields } = await ask(worker, `/v1/${path}`, headers);
      expect([statusCode, fields["content-type"]]).toEqual([404, "application/problem+json; charset=utf-8"]);
      for (const name of ["content-range", "etag", "content-disposition", "repr-digest", "accept-ranges"])
        expect([name, fields[name]]).toEqual([name, undefined]);
    }
    for (const one of held.snapshots()) held.remove(one);
    await write(of(store));
    expect((await ask(worker, `/v1/${path}`)).statusCode).toBe(200);
  });

  it("refuses every snapshot with an erased name at once, and the next one has nothing of it", async () => {
    const { service, worker, held } = of(store);
    const handle = `carla-${STORES.indexOf(store)}`;
    const headers = await app.signIn(handle);
    const { id } = await app.database.account.findFirstOrThrow({ where: { handle } });
    const bench = await app.database.bench.findFirstOrThrow();
    const { id: _, createdAt: __, ...like } = bench;
    const own = await app.database.bench.create({ data: { ...like, ownerId: id, label: handle } });
    runs.adopt(handle, id, own.id);
    await runs.add(handle, "Sprint");
    await runs.settled();
    backdate(of(store), ["2026-01-01"]);
    await write(of(store));
    const holding = () => held.files().filter((name) => held.bytesOf(name).includes(handle));
    expect(holding().length).toBeGreaterThan(0);
    const { path, hash } = await resourceOf(worker, "testers", "csv");
    expect(holding()).toContain(hash.slice("sha256:".length));
    const password = { password: "correct horse battery" };
    await app.inject({ method: "POST", url: "/v1/accounts/me/erasure", headers, payload: password });
    for (const one of [service, worker]) {
      expect([(await ask(one, "/v1/dataset")).statusCode, (await ask(one, `/v1/${path}`)).statusCode]).toEqual([
        503, 404,
      ]);
    }
    await write(of(store));
    expect(holding()).toEqual([]);
    expect(held.snapshots()).toEqual([`${(await descriptorOf(service)).version}.json`]);
  });
});

it("from either store every answer is the same: bytes, ranges, tags, conditions", async () => {
  // Both have the record of this moment.
  for (const store of STORES) {
    for (const one of of(store).held.snapshots()) of(store).held.remove(one);
    await write(of(store));
  }
  const { path, bytes, hash } = await resourceOf(objects().worker);
  const csv = (await resourceOf(objects().worker, "figures", "csv")).path;
  const tag = `"${hash.slice("sha256:".length)}"`;
  const asked: [string, Record<string, string>, ("GET" | "HEAD")?][] = [
    [path, {}],
    [path, {}, "HEAD"],
    [csv, { "accept-encoding": "gzip" }],
    [csv, { "accept-encoding": "gzip" }, "HEAD"],
    [csv, { accept: "text/csv" }],
    [csv, { accept: "image/png" }],
    [path, { range: "bytes=0-3" }],
    [path, { range: "bytes=-4" }],
    [path, { range: `bytes=${bytes - 1}-` }],
    [path, { range: `bytes=${bytes}-` }],
    [path, { range: "bytes=0-0,9-9" }],
    [path, { range: "bytes=0-3", "if-range": tag }],
    [path, { range: "bytes=0-3", "if-range": '"other"' }],
    [path, { "if-none-match": tag }],
    [path, { "if-none-match": `W/${tag}`, range: "bytes=0-3" }],
    [path, { "if-none-match": '"other"' }],
  ];
  const of200 = new Set<number>();
  for (const [at, headers, method] of asked) {
    const answers = await Promise.all(
      STORES.map(async (store) => {
        const answer = await ask(of(store).worker, `/v1/${at}`, headers, method);
        const { date: _, "x-request-id": __, ratelimit: ___, ...fields } = answer.headers;
        of200.add(answer.statusCode);
        return { status: answer.statusCode, fields, body: answer.rawPayload.toString("base64").replace(/urn.*/, "") };
      }),
    );
    const [folderSays, objectsSay] = answers;
    if (folderSays?.status !== 416 && folderSays?.status !== 406)
      expect([headers, objectsSay]).toEqual([headers, folderSays]);
    else
      expect([headers, objectsSay?.status, objectsSay?.fields["content-range"]]).toEqual([
        headers,
        folderSays.status,
        folderSays.fields["content-range"],
      ]);
  }
  expect([...of200].sort()).toEqual([200, 206, 304, 406, 416]);
});

describe("the dataset in object storage", () => {
  it("is read of it no more than is sent: nothing for HEAD, nor for who has it", async () => {
    const { worker } = objects();
    const { path, hash } = await resourceOf(worker);
    const before = server.asked.length;
    await ask(worker, `/v1/${path}`, {}, "HEAD");
    await ask(worker, `/v1/${path}`, { "if-none-match": `"${hash.slice("sha256:".length)}"` });
    expect(server.asked.slice(before).filter(({ key }) => key.includes("/files/"))).toEqual([]);
  });

  it("sends no file twice, and leaves no draft and nothing of another record", async () => {
    const { held } = objects();
    const other = `open/${randomUUID()}/files/other`;
    server.objects.set(other, Buffer.from("of another record"));
    const before = server.asked.length;
    for (const one of held.snapshots()) held.remove(one);
    await write(objects());
    const put = server.asked.slice(before).filter(({ method, key }) => method === "PUT" && key.includes("/files/"));
    expect(put).toEqual([]);
    expect(server.objects.has(other)).toBe(true);
    expect(readdirSync(join(folder, "of-worker", "dataset", recordId))).toEqual(["drafts"]);
    expect(readdirSync(join(folder, "of-worker", "dataset", recordId, "drafts"))).toEqual([]);
  });

  it("is whole for its reader although the connection to the storage is cut", async () => {
    const { worker } = objects();
    const { path, hash } = await resourceOf(worker, "figures", "csv");
    let cuts = 0;
    server.misbehave(({ key }) => (key.includes("/files/") && cuts++ < 3 ? { cutAfter: 100 } : null));
    const { rawPayload } = await ask(worker, `/v1/${path}`);
    server.misbehave(null);
    expect([cuts, createHash("sha256").update(rawPayload).digest("hex")]).toEqual([4, hash.slice("sha256:".length)]);
  });

  it.each([503, 403])("that answers %d takes the dataset away and nothing else, and gives it back", async (status) => {
    const { service, worker } = objects();
    const { path } = await resourceOf(worker);
    const ready = async () => (await ask(service, "/health/ready")).json();
    expect(await ready()).toEqual({ status: "ready" });
    server.misbehave(() => status);
    for (const one of [await ask(service, `/v1/${path}`), await ask(service, `/v1/${path}`, { range: "bytes=0-3" })]) {
      expect([one.statusCode, one.headers["retry-after"], one.json()]).toMatchObject([
        503,
        "30",
        { code: "not-ready" },
      ]);
      expect([one.headers["content-range"], one.headers.etag]).toEqual([undefined, undefined]);
      expect(one.body).not.toContain(server.settings.accessKeyId);
    }
    expect(await ready()).toMatchObject({ status: 503, waitingFor: ["dataset-storage"] });
    expect((await ask(service, "/v1/packs")).statusCode).toBe(200);
    expect((await ask(service, "/health/live")).statusCode).toBe(200);
    server.misbehave(null);
    expect(await ready()).toEqual({ status: "ready" });
    expect((await ask(service, `/v1/${path}`)).statusCode).toBe(200);
  });

  it("is made later where it cannot be made now, on this day and the next ones", async () => {
    const { worker, held } = objects();
    let handler: JobHandler = () => Promise.resolve();
    const queue = { handle: (_: string, how: JobHandler) => (handler = how) } as unknown as JobQueue;
    const quick = { tries: 1, silenceMs: 1_000, pauseMs: 1 };
    const storage = new ObjectStorage(server.settings, {
      patience: { reader: quick, writer: quick },
      report: () => undefined,
    });
    const config = worker.get<Config>(CONFIG);
    const [repository, changes, metrics] = [worker.get(DatasetRepository), worker.get(ChangesService), new Metrics()];
    new DatasetService(repository, changes, queue, metrics, storage, config).onModuleInit();
    const waitsFor = async () => {
      const rows = await app.database.$queryRaw<{ key: string; seconds: number }[]>`
        SELECT key, extract(epoch FROM run_at - now())::float8 AS seconds FROM graphile_worker.jobs WHERE key = 'write-dataset:daily'`;
      return rows.map(({ seconds }) => seconds);
    };
    for (const one of held.snapshots()) held.remove(one);
    // It fails when everything but the last file is there.
    let files = 0;
    server.misbehave(({ method, key }) =>
      method === "PUT" && (key.includes("/snapshots/") || files++ < 0) ? 503 : null,
    );
    await handler({ isDaily: true });
    expect([await waitsFor(), held.snapshots()]).toEqual([[expect.closeTo(60, -1)], []]);
    expect(await metrics.registry.metrics()).toContain('packledger_failed_job_attempts_total{task="write-dataset"} 1');
    server.misbehave(null);
    await handler({ isDaily: true });
    expect(held.snapshots().length).toBe(1);
    const [seconds = 0] = await waitsFor();
    expect(seconds).toBeGreaterThan(60);
    storage.close();
  });
});
