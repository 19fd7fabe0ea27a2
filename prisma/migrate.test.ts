import { createHash } from "node:crypto";
import { afterEach, beforeEach, describe, expect, it } from "@jest/globals";
import { Client } from "pg";
import { createEmptyDatabase, type TestDatabase } from "../test/support/database.js";
import { migrate } from "./migrate.js";
import type { Migration } from "./migration-files.js";

const migration = (name: string, sql: string): Migration => ({
  name,
  sql,
  checksum: createHash("sha256").update(sql).digest("hex"),
});
const FIRST = migration("20300101000000_first", "create table first (id int); create table also (id int);");
const SECOND = migration("20300102000000_second", "create table second (id int);");

let database: TestDatabase;
let client: Client;
beforeEach(async () => {
  database = await createEmptyDatabase();
  client = new Client({ connectionString: database.connectionString });
  await client.connect();
});
afterEach(async () => {
  await client.end();
  await database.drop();
});

const apply = (...migrations: Migration[]) => migrate(database.connectionString, migrations);

async function tables(): Promise<string[]> {
  const { rows } = await client.query<{ name: string }>(
    "select tablename as name from pg_tables where schemaname = 'public' and tablename <> '_prisma_migrations' order by 1",
  );
  return rows.map(({ name }) => name);
}

describe("migrating", () => {
  it("applies in order what is missing, once", async () => {
    expect(await apply(FIRST)).toEqual([FIRST.name]);
    expect(await apply(FIRST, SECOND)).toEqual([SECOND.name]);
    expect(await apply(FIRST, SECOND)).toEqual([]);
    expect(await tables()).toEqual(["also", "first", "second"]);
  });

  it("leaves nothing of a migration that fails, names it, and keeps those before it", async () => {
    const failing = migration("20300103000000_third", "create table third (id int); select 1 / 0;");
    await expect(apply(FIRST, failing)).rejects.toThrow(/20300103000000_third failed.*division by zero/);
    expect(await tables()).toEqual(["also", "first"]);
    expect(await apply(FIRST, migration(failing.name, "create table third (id int);"))).toEqual([failing.name]);
  });

  it("waits for another program that migrates", async () => {
    await client.query("select pg_advisory_lock(72707369)");
    let isDone = false;
    const migrating = apply(FIRST).then(() => {
      isDone = true;
    });
    for (let waiting = 0; waiting === 0; ) {
      const { rows } = await client.query(
        "select count(*)::int as n from pg_locks where locktype = 'advisory' and not granted",
      );
      waiting = rows[0].n;
    }
    expect(isDone).toBe(false);
    await client.query("select pg_advisory_unlock(72707369)");
    await migrating;
  });
});

describe("migrating refuses in a sentence", () => {
  it("a migration that was changed after it had been applied", async () => {
    await apply(FIRST);
    await expect(apply(migration(FIRST.name, "create table other (id int);"))).rejects.toThrow(
      "Migrations were changed after they had been applied (20300101000000_first)",
    );
  });

  it("a database of a newer version", async () => {
    await apply(FIRST, SECOND);
    await expect(apply(FIRST)).rejects.toThrow("by a newer version of Packledger (20300102000000_second)");
  });

  it("a database from before the first migration, finished or not, and says what to do", async () => {
    await apply(migration("20261125095000_record", "create table old (id int);"));
    const refusal = /from before the first release.*20261125095000_record.*new data folder \(DATA_DIR\)/;
    await expect(apply(FIRST)).rejects.toThrow(refusal);
    await client.query("update _prisma_migrations set finished_at = null");
    await expect(apply(FIRST)).rejects.toThrow(refusal);
    expect(await tables()).toEqual(["old"]);
  });

  it("a migration that another tool began and did not finish, until somebody says what became of it", async () => {
    await apply(FIRST);
    await client.query("update _prisma_migrations set finished_at = null");
    await expect(apply(FIRST)).rejects.toThrow(
      /did not finish them \(20300101000000_first\).*rolled_back_at = now\(\)/,
    );
    await client.query("drop table first, also");
    await client.query("update _prisma_migrations set rolled_back_at = now()");
    expect(await apply(FIRST)).toEqual([FIRST.name]);
  });

  it("a migration that is added before one that was applied", async () => {
    await apply(SECOND);
    await expect(apply(FIRST, SECOND)).rejects.toThrow("missing in the database before 20300102000000_second");
  });
});
