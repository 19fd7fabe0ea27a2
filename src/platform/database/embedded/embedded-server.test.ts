import { mkdtemp, readFile, rm, stat, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as delay } from "node:timers/promises";
import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { Client } from "pg";
import { type EmbeddedServer, startEmbeddedServer } from "./embedded-server.js";

let parent: string;
let folder: string;
beforeAll(async () => {
  parent = await mkdtemp(join(tmpdir(), "packledger-test-"));
  folder = join(parent, "data");
});
afterAll(() => rm(parent, { recursive: true }));

async function ask(server: EmbeddedServer, statement: string): Promise<unknown[][]> {
  const client = new Client({ connectionString: server.connectionString });
  client.on("error", () => undefined);
  await client.connect();
  try {
    return (await client.query({ text: statement, rowMode: "array" })).rows as unknown[][];
  } finally {
    await client.end();
  }
}

async function postmasterPid(): Promise<number> {
  return Number((await readFile(join(folder, "database", "postmaster.pid"), "utf8")).split("\n")[0]);
}

describe("the embedded database", () => {
  it("keeps what it was given from one start to the next, and its password to itself", async () => {
    const first = await startEmbeddedServer(folder);
    await ask(first, "CREATE TABLE kept AS SELECT 'grün' AS word");
    expect(await ask(first, "SHOW server_encoding")).toEqual([["UTF8"]]);
    expect(await ask(first, "SHOW listen_addresses")).toEqual([["127.0.0.1"]]);
    await first.stop();
    const second = await startEmbeddedServer(folder);
    expect(second.connectionString).toBe(first.connectionString);
    expect(await ask(second, "SELECT upper(word) FROM kept")).toEqual([["GRÜN"]]);
    await second.stop();
    expect((await stat(join(folder, "database.json"))).mode & 0o777).toBe(0o600);
  });

  it("is started again when its server is killed, with everything in it", async () => {
    const server = await startEmbeddedServer(folder);
    await ask(server, "CREATE TABLE survived AS SELECT 1 AS number");
    process.kill(await postmasterPid(), "SIGKILL");
    let rows: unknown[][] | null = null;
    while (rows === null) {
      await delay(100);
      rows = await ask(server, "SELECT number FROM survived").catch(() => null);
    }
    expect(rows).toEqual([[1]]);
    await server.stop();
    await expect(ask(server, "SELECT 1")).rejects.toThrow(/ECONNREFUSED/);
  });

  it("refuses files of another major version of PostgreSQL, and names both", async () => {
    const file = join(folder, "database", "PG_VERSION");
    const own = (await readFile(file, "utf8")).trim();
    await writeFile(file, "9\n");
    try {
      await expect(startEmbeddedServer(folder)).rejects.toThrow(
        new RegExp(`made by PostgreSQL 9, and this version of Packledger brings PostgreSQL ${own},.*packledger backup`),
      );
    } finally {
      await writeFile(file, `${own}\n`);
    }
  });

  it("says which variable to set where its folder cannot be", async () => {
    const file = join(parent, "a-file");
    await writeFile(file, "");
    // proc(5): a folder of Linux's own, in which even root makes nothing.
    for (const place of [file, join(file, "data"), "/proc/packledger", "/proc/packledger/data"]) {
      const refused = startEmbeddedServer(place);
      await expect(refused).rejects.toThrow(/^The data folder \/.* cannot be used: .*\. Set DATA_DIR to /);
    }
  });

  it("lets the service log in as a role that owns its database and may do nothing else", async () => {
    const server = await startEmbeddedServer(folder);
    const [roles, owner] = await Promise.all([
      ask(
        server,
        "SELECT rolsuper, rolcreaterole, rolcreatedb, rolreplication, rolbypassrls FROM pg_roles WHERE rolname = current_user",
      ),
      ask(server, "SELECT pg_get_userbyid(datdba) = current_user FROM pg_database WHERE datname = current_database()"),
    ]);
    expect([roles, owner]).toEqual([[[false, false, false, false, false]], [[true]]]);
    // PostgreSQL 18, COPY and "Generic File Access Functions": kept for superusers and those to whom they granted it.
    for (const forbidden of [
      "COPY (SELECT 1) TO PROGRAM 'cat'",
      "COPY kept FROM '/etc/passwd'",
      "SELECT pg_read_file('/etc/passwd')",
      "SELECT lo_import('/etc/passwd')",
      "CREATE FUNCTION outside() RETURNS void LANGUAGE c AS '/lib/x', 'x'",
      "ALTER SYSTEM SET archive_command = 'true'",
      "SET session_replication_role = replica",
      "CREATE ROLE another SUPERUSER",
      "CREATE DATABASE another",
      "ALTER ROLE packledger_service SUPERUSER",
      "SET ROLE packledger",
      "SELECT rolpassword FROM pg_authid",
    ]) {
      await expect(ask(server, forbidden)).rejects.toMatchObject({ code: "42501" });
    }
    await server.stop();
  });

  it("is brought over from an earlier version, whose service was the superuser", async () => {
    const earlier = join(parent, "earlier");
    const before = await startEmbeddedServer(earlier);
    // As that version left it: everything is the superuser's, and the other role is not there yet.
    const owned = new URL(before.ownerConnectionString);
    owned.pathname = "/packledger";
    const asOwner = { ...before, connectionString: owned.href };
    for (const statement of [
      "ALTER DATABASE packledger OWNER TO packledger",
      "DROP OWNED BY packledger_service",
      "DROP ROLE packledger_service",
      `CREATE TABLE kept (id bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY, old serial, word text);
       CREATE SCHEMA other; CREATE TYPE other.mood AS ENUM ('good'); CREATE TYPE other.pair AS (a int, b int);
       CREATE DOMAIN other.whole AS int; CREATE TABLE other.things (mood other.mood, pair other.pair);
       CREATE VIEW words AS SELECT word FROM kept; CREATE SEQUENCE other.turns;
       CREATE FUNCTION other.one() RETURNS int LANGUAGE sql AS 'SELECT 1';
       CREATE EXTENSION pg_trgm; INSERT INTO kept (word) VALUES ('before')`,
    ]) {
      await ask(asOwner, statement);
    }
    await before.stop();
    const file = join(earlier, "database.json");
    const { servicePassword: _, ...settings } = JSON.parse(await readFile(file, "utf8"));
    await writeFile(file, JSON.stringify(settings));

    const after = await startEmbeddedServer(earlier);
    expect(await ask(after, "SELECT current_user::text, word FROM kept")).toEqual([["packledger_service", "before"]]);
    await ask(
      after,
      `INSERT INTO kept (word) VALUES ('after'); ALTER TABLE kept ADD COLUMN more int; ALTER TABLE other.things RENAME TO those;
       ALTER TYPE other.mood ADD VALUE 'bad'; ALTER TYPE other.pair ADD ATTRIBUTE c int; ALTER DOMAIN other.whole SET NOT NULL;
       DROP FUNCTION other.one(); CREATE OR REPLACE VIEW words AS SELECT word, 1 AS one FROM kept; DROP SEQUENCE other.turns;
       CREATE TABLE public.new_one (id int); CREATE TABLE other.new_one (id int); CREATE SCHEMA third`,
    );
    await after.stop();
    const again = await startEmbeddedServer(earlier);
    expect(await ask(again, "SELECT word FROM words ORDER BY word")).toEqual([["after"], ["before"]]);
    await again.stop();
  });

  it("is refused to a second server on the same folder, which leaves the first alone", async () => {
    const server = await startEmbeddedServer(folder);
    await expect(startEmbeddedServer(folder)).rejects.toThrow(/in use by another running server \(process \d+\)/);
    expect(await ask(server, "SELECT 1")).toEqual([[1]]);
    await server.stop();
  });

  it("comes back after its service and itself were killed", async () => {
    await startEmbeddedServer(folder);
    process.kill(await postmasterPid(), "SIGKILL");
    await writeFile(join(folder, "server.lock"), JSON.stringify({ pid: process.pid, identity: "an earlier process" }));
    const server = await startEmbeddedServer(folder);
    expect(await ask(server, "SELECT count(*)::int FROM kept")).toEqual([[1]]);
    await server.stop();
  });

  it("comes back after its service alone was killed, and no server is left over", async () => {
    await startEmbeddedServer(folder);
    const orphan = await postmasterPid();
    await writeFile(join(folder, "server.lock"), JSON.stringify({ pid: 2 ** 22 + 1, identity: "gone" }));
    const server = await startEmbeddedServer(folder);
    expect(await postmasterPid()).not.toBe(orphan);
    expect(() => process.kill(orphan, 0)).toThrow("ESRCH");
    await server.stop();
  });
});
