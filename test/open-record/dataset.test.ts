import { createHash } from "node:crypto";
import { readdirSync, readFileSync } from "node:fs";
import { rm } from "node:fs/promises";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { Ajv } from "ajv";
import { DatasetService } from "../../src/features/dataset/dataset.service.js";
import type { PackStandingView } from "../../src/features/rankings/pack-standing.views.js";
import { CONFIG, type Config } from "../../src/platform/config/config.js";
import { projectRoot } from "../../src/platform/config/project-root.js";
import { startTestApp, type TestApp } from "../support/app.js";
import { DATA_PACKAGE } from "../support/data-package-profile.js";
import { comparable, put, TABLES_OF, type Tables, tablesOf } from "../support/dataset-rows.js";
import { type Descriptor, download, type Resource, readDescriptor } from "../support/downloaded.js";
import { askDuck } from "../support/duck.js";
import { Mirror } from "../support/mirror.js";
import { readPublicRecord } from "../support/public-record.js";
import { RandomHistory } from "../support/random-history.js";
import { uploadCase } from "../support/uploads.js";

let app: TestApp;
let history: RandomHistory;
let descriptor: Descriptor;
let folder: string;
let measured: string;
const folders: string[] = [];
beforeAll(async () => {
  app = await startTestApp();
  history = await RandomHistory.begin(app, 7);
  await history.measureAll();
  await history.departFromOthers();
  const [anna] = history.handles as [string];
  const { body } = await uploadCase(app, history.sessionOf(anna), "Measured", "truth-4s-10hz");
  measured = body.id;
  await app.database.run.update({ where: { id: measured }, data: { review: "accepted" } });
  // As if one had been uploaded in an earlier month: another part.
  await app.database
    .$executeRaw`UPDATE run SET created_at = '2026-05-02T10:00:00Z' WHERE id = (SELECT max(id::text)::uuid FROM run)`;
  await app.nest.get(DatasetService).write();
  descriptor = await readDescriptor(app);
  folder = await fetched(descriptor);
});
afterAll(async () => {
  for (const one of folders) await rm(one, { recursive: true, force: true });
  await app.close();
});

async function fetched(of: Descriptor): Promise<string> {
  const made = await download(app, of);
  folders.push(made);
  return made;
}

const kinds = Object.values(TABLES_OF).flat();
const parquetOf = (kind: string, from = folder) =>
  `read_parquet('${from}/kind=${kind}/**/*.parquet', hive_partitioning = true)`;
const datasetFolder = () => join(app.nest.get<Config>(CONFIG).dataFolder, "dataset", descriptor.recordId);
const record = async () => comparable(tablesOf(await readPublicRecord(app, history.handles)));

describe("the dataset", () => {
  it("is a data package, by the standard's profiles", () => {
    const validate = new Ajv({ strict: false, allErrors: true }).compile(DATA_PACKAGE);
    validate(descriptor);
    expect(validate.errors).toBeNull();
    const names = descriptor.resources.map(({ name }) => name);
    expect(new Set(names).size).toBe(names.length);
    expect(descriptor).toMatchObject({
      version: expect.stringMatching(/^\d{4}-\d\d-\d\d$/),
      licenses: [{ name: "CC-BY-4.0" }],
      citation: expect.stringContaining("CC BY 4.0"),
    });
    const [first] = descriptor.resources as [Resource];
    expect(validate({ ...descriptor, resources: [{ ...first, path: "/absolute.csv" }] })).toBe(false);
    expect(validate({ ...descriptor, resources: [{ ...first, schema: {} }] })).toBe(false);
  });

  it("has every table, in parts by month", () => {
    const has = (kind: string) => descriptor.resources.some(({ name }) => name.startsWith(`${kind}-`));
    expect(kinds.filter((kind) => !has(kind))).toEqual([]);
    const paths = descriptor.resources.map(({ path }) => path);
    expect(paths).toContain(`dataset/${descriptor.version}/kind=runs/year=2026/month=05/runs-2026-05.parquet`);
  });

  it("says the same in CSV as in Parquet, as DuckDB reads them, with the columns that the schema names", async () => {
    for (const kind of kinds) {
      const { schema } = descriptor.resources.find(({ name }) => name.startsWith(`${kind}-`)) as Resource;
      const described = await askDuck(`DESCRIBE SELECT * EXCLUDE (kind, year, month) FROM ${parquetOf(kind)}`);
      expect(described.map(({ column_name: name }) => name)).toEqual(schema.fields.map(({ name }) => name));
      const columns = described.map(
        ({ column_name: name, column_type: type }) => `CAST("${name}" AS ${type}) AS "${name}"`,
      );
      const text = `read_csv('${folder}/kind=${kind}/**/*.csv', header = true, all_varchar = true, hive_partitioning = false)`;
      const csv = `(SELECT ${columns.join(", ")} FROM ${text})`;
      const parquet = `(SELECT * EXCLUDE (kind, year, month) FROM ${parquetOf(kind)})`;
      const zone = "SET TimeZone = 'UTC'";
      expect([kind, await askDuck(zone, `FROM ${csv} EXCEPT ALL FROM ${parquet}`)]).toEqual([kind, []]);
      expect([kind, await askDuck(zone, `FROM ${parquet} EXCEPT ALL FROM ${csv}`)]).toEqual([kind, []]);
      const files = descriptor.resources.filter(({ name, format }) => name.startsWith(`${kind}-`) && format === "csv");
      const [count] = await askDuck(`SELECT count(*)::INT AS rows FROM ${parquetOf(kind)}`);
      expect([kind, count]).toEqual([kind, { rows: files.reduce((sum, { rows }) => sum + rows, 0) }]);
    }
  });

  it("gives the API's ranking again by the example of docs/dataset.md", async () => {
    const docs = readFileSync(join(projectRoot, "docs", "dataset.md"), "utf8");
    const [, example = ""] = /```sql\n([\s\S]*?)```/.exec(docs) ?? [];
    const rows = await askDuck(example.replaceAll("'record/", `'${folder}/`));
    const url = "/v1/rankings/power-10s?chemistry=lipo&series=4&load=100&first=100";
    const { items } = (await app.inject({ url })).json<{ items: RankedItem[] }>();
    expect(items.length).toBeGreaterThan(2);
    expect(rows.map((row) => ({ ...row, place: Number(row.place) }))).toEqual(
      items.map(({ place, pack, value, unit }) => ({ place, maker: pack.maker, name: pack.name, value, unit })),
    );
  });

  it("says of each of these standings what the API says stands beside it: disputes, and results that wait", async () => {
    const columns = "pack_id, disputed, computed_value, testers_beside, held";
    const rows = await askDuck(
      `SELECT ${columns} FROM ${parquetOf("standings")} WHERE figure = 'power-10s' AND load_a = 100 ORDER BY pack_id`,
    );
    const shown = await Promise.all(
      rows.map(async ({ pack_id }) => {
        const answer = await app.inject({ url: `/v1/rankings/power-10s/packs/${pack_id}?load=100` });
        const { disputed, computedValue, testersBeside, agreement } = answer.json<PackStandingView>();
        const held = agreement.testers.filter((one) => one.held).length;
        return { pack_id, disputed, computed_value: computedValue, testers_beside: testersBeside, held };
      }),
    );
    expect(rows).toEqual(shown);
    for (const something of ["disputed", "computed_value", "testers_beside", "held"]) {
      expect([something, rows.some((row) => Boolean(row[something]))]).toEqual([something, true]);
    }
  });

  it("names of each log the SHA-256 of the bytes that the API gives out", async () => {
    const rows = await askDuck(`SELECT sha256 FROM ${parquetOf("logs")} WHERE run_id = '${measured}'`);
    const { rawPayload } = await app.inject({ url: `/v1/runs/${measured}/log` });
    expect(rows).toEqual([{ sha256: createHash("sha256").update(rawPayload).digest("hex") }]);
  });

  it("and what has changed since make a mirror that equals the record", async () => {
    const tables = await tablesIn(folder);
    expect(comparable(tables)).toEqual(await record());
    const after = new URL(descriptor.changes.path, "http://localhost").searchParams.get("after");
    const mirror = new Mirror(app, after);
    for (let step = 0; step < 8; step++) await history.step();
    await mirror.follow();
    for (const { kind, subjectId, state, ...bodies } of mirror.read) {
      const of = kind as keyof typeof TABLES_OF;
      if (state !== "superseded") put(tables, of, subjectId, bodies[of]);
    }
    expect(mirror.read.length).toBeGreaterThan(8);
    expect(comparable(tables)).toEqual(await record());
  });

  it("is made anew only where something changed, honours withdrawals, and forgets an erased name at once", async () => {
    const handle = await history.withdrawAndErase();
    const { path } = descriptor.resources[0] as Resource;
    const old = await app.inject({ url: `/v1/${path}` });
    const none = await app.inject({ url: "/v1/dataset" });
    expect([old.statusCode, none.statusCode, none.headers["retry-after"]]).toEqual([404, 503, "60"]);
    await app.nest.get(DatasetService).write();
    const next = await readDescriptor(app);
    expect(next.version).not.toBe(descriptor.version);
    expect(readdirSync(join(datasetFolder(), "snapshots"))).toEqual([`${next.version}.json`]);
    const hashes = new Set(descriptor.resources.map(({ hash }) => hash));
    expect(next.resources.some(({ hash }) => hashes.has(hash))).toBe(true);
    const names = readdirSync(join(datasetFolder(), "files"));
    expect(new Set(names)).toEqual(new Set(next.resources.map(({ hash }) => hash.slice("sha256:".length))));
    const quoted = new RegExp(`(^|[",\\n])${handle}([",\\r\\n]|$)`);
    const holding = names.filter((name) => quoted.test(readFileSync(join(datasetFolder(), "files", name), "latin1")));
    expect(holding).toEqual([]);
    expect(comparable(await tablesIn(await fetched(next)))).toEqual(await record());
  });

  it("is answered 304 to who has it, in parts to who asks for bytes, and 404 below other paths", async () => {
    const now = await readDescriptor(app);
    const { headers } = await app.inject({ url: "/v1/dataset" });
    const again = await app.inject({ url: "/v1/dataset", headers: { "if-none-match": String(headers.etag) } });
    expect(again.statusCode).toBe(304);
    const { path, hash } = now.resources.find(({ format }) => format === "parquet") as Resource;
    const part = await app.inject({ url: `/v1/${path}`, headers: { range: "bytes=0-3" } });
    // Apache Parquet, "File format": a file begins with these four bytes.
    expect([part.statusCode, part.body]).toEqual([206, "PAR1"]);
    const kept = { "if-none-match": `"${hash.slice("sha256:".length)}"` };
    const current = await app.inject({ url: `/v1/${path}`, headers: kept });
    expect(current.statusCode).toBe(304);
    // RFC 9111, 5.2.2.4: a cache that holds a file from before an erasure may not give it out unasked.
    const log = await app.inject({ url: `/v1/runs/${measured}/log` });
    for (const answer of [part, current, log]) expect(answer.headers["cache-control"]).toBe("public, no-cache");
    for (const other of ["2020-01-01", "..%2F..", now.version]) {
      const answer = await app.inject({ url: `/v1/dataset/${other}/kind=runs/year=2020/month=01/..%2Fx` });
      expect([other, answer.statusCode]).toEqual([other, 404]);
    }
    const dated = await app.inject({ url: `/v1/dataset/${now.version}/datapackage.json` });
    expect(dated.json<Descriptor>().resources[0]?.path).toMatch(/^kind=packs\/year=/);
  });

  it("is served of the record that the database holds, and of no other that was kept in the same folder", async () => {
    const { path } = (await readDescriptor(app)).resources[0] as Resource;
    const status = async (url: string) => (await app.inject({ url })).statusCode;
    const all = async () => [await status("/v1/dataset"), await status(`/v1/${path}`)];
    expect(await all()).toEqual([200, 200]);
    await app.database.$executeRaw`UPDATE record_identity SET id = gen_random_uuid()`;
    expect(await all()).toEqual([503, 404]);
    await app.nest.get(DatasetService).write();
    const own = await readDescriptor(app);
    expect(own.recordId).not.toBe(descriptor.recordId);
    expect(await status(`/v1/${own.resources[0]?.path}`)).toBe(200);
  });
});

interface RankedItem {
  readonly place: number;
  readonly pack: { readonly maker: string; readonly name: string };
  readonly value: number;
  readonly unit: string;
}

/** The tables in some files, as DuckDB reads them. */
async function tablesIn(from: string): Promise<Tables> {
  const tables: Tables = new Map();
  for (const kind of kinds) {
    const isThere = readdirSync(from).includes(`kind=${kind}`);
    const rows = isThere ? await askDuck(`SELECT * EXCLUDE (kind, year, month) FROM ${parquetOf(kind, from)}`) : [];
    const shown = rows.map((row) => {
      const plain = Object.entries(row).map(([name, cell]) => [name, cell instanceof Date ? cell.toISOString() : cell]);
      return Object.fromEntries(plain) as Record<string, unknown>;
    });
    tables.set(
      kind,
      Map.groupBy(shown, (row) => String(row.run_id ?? row.id ?? row.pack_id)),
    );
  }
  return tables;
}
