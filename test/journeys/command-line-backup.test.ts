import { spawn } from "node:child_process";
import { once } from "node:events";
import { existsSync } from "node:fs";
import { mkdtemp, readdir, readFile, rm, stat, symlink, truncate } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as delay } from "node:timers/promises";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from "@jest/globals";
import { Client } from "pg";
import { projectRoot } from "../../src/platform/config/project-root.js";
import { prepareDatabase } from "../../src/prepare-database.js";
import { startTestApp, type TestApp } from "../support/app.js";
import { Commands } from "../support/command-line.js";
import { cloneDatabase, createEmptyDatabase, type TestDatabase } from "../support/database.js";
import { uploadCase } from "../support/uploads.js";

let app: TestApp;
let runId: string;
let folder: string;
let target: TestDatabase;
beforeAll(async () => {
  app = await startTestApp();
  runId = (await uploadCase(app, await app.signIn("keeper"), "Kept", "current-offset")).body.id;
});
afterAll(() => app.close());
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), "packledger-backup-"));
  target = await createEmptyDatabase();
});
afterEach(async () => {
  await target.drop();
  await rm(folder, { recursive: true });
});

const commands = new Commands();
afterAll(() => commands.end());

/** A command of an operator whose service has this database. */
const operate = (databaseUrl: string, ...args: string[]) =>
  commands.run(args, { DATABASE_URL: databaseUrl, DATA_DIR: folder }, folder);

/** The runs of a record with the digests of their logs. */
async function runsIn(connectionString: string): Promise<unknown[]> {
  const client = new Client({ connectionString });
  await client.connect();
  try {
    return (await client.query("select id, encode(log_sha256, 'hex') as log from run order by id")).rows;
  } finally {
    await client.end();
  }
}

/** The first process of the embedded database of a data folder, once there is one. */
async function postmasterOf(dataFolder: string): Promise<number> {
  for (;;) {
    const text = await readFile(join(dataFolder, "database", "postmaster.pid"), "utf8").catch(() => "");
    const pid = Number(text.split("\n")[0]);
    if (pid > 0) return pid;
    await delay(10);
  }
}

function isAlive(pid: number): boolean {
  try {
    process.kill(pid, 0);
    return true;
  } catch {
    return false;
  }
}

describe("an operator's commands", () => {
  it("backup writes a file that none replaces, and restore fills an empty database with it", async () => {
    const source = app.database.connectionString;
    const written = await operate(source, "backup", "record.zip");
    expect([written.code, written.stdout]).toEqual([0, expect.stringMatching(/^record\.zip holds the record as of /)]);
    const again = await operate(source, "backup", "record.zip");
    expect([again.code, again.stderr]).toEqual([2, expect.stringContaining("record.zip exists already")]);
    const restored = await operate(target.connectionString, "restore", "record.zip");
    expect([restored.code, restored.stderr]).toEqual([0, ""]);
    const runs = await runsIn(target.connectionString);
    expect(runs).toEqual(await runsIn(source));
    expect(runs).toEqual([{ id: runId, log: expect.stringMatching(/^[0-9a-f]{64}$/) }]);
    const twice = await operate(target.connectionString, "restore", "record.zip");
    expect([twice.code, twice.stderr]).toEqual([2, expect.stringContaining("has data already")]);
    const missing = await operate(target.connectionString, "restore", "none.zip");
    expect([missing.code, missing.stderr]).toEqual([2, "Error: There is no file none.zip.\n"]);
  });

  it("move copies the record to an empty database, leaves the old one, and nothing beside it", async () => {
    const source = app.database.connectionString;
    const moved = await operate(source, "move", "--to", target.connectionString);
    expect([moved.code, moved.stdout]).toEqual([0, expect.stringMatching(/^The record is moved: /)]);
    expect(await runsIn(target.connectionString)).toEqual(await runsIn(source));
    expect(existsSync(join(folder, "record.zip"))).toBe(false);
    const audited = await operate(target.connectionString, "audit");
    expect(audited.stdout).toMatch(/^\d+ entries, all valid\./);
    const twice = await operate(source, "move", "--to", target.connectionString);
    expect([twice.code, twice.stderr]).toEqual([2, expect.stringContaining("has data already")]);
  });

  it("backup says in words what is in the way of its file, and leaves nothing of it", async () => {
    const source = app.database.connectionString;
    const failed = async (file: string, why: string) => {
      const { code, stdout, stderr } = await operate(source, "backup", file);
      const said = `Error: The backup is not made, for ${join(folder, file)} cannot be written: ${why}.\n`;
      expect([code, stdout, stderr]).toEqual([2, "", said]);
    };
    await failed("nowhere/record.zip", "its folder does not exist");
    // Every write to this device fails as on a full disk (Linux: full(4)).
    await symlink("/dev/full", join(folder, "full.zip.part"));
    await failed("full.zip", "its disk is full");
    expect(await readdir(folder)).toEqual([]);
  });

  it("backup leaves nothing when it is stopped", async () => {
    // It waits at its first table for whoever changes that; at a database that no service works on, which would wait as well.
    const source = await cloneDatabase();
    const holder = new Client({ connectionString: source.connectionString });
    await holder.connect();
    const env = { ...process.env, DATABASE_URL: source.connectionString, DATA_DIR: folder };
    const cli = join(projectRoot, "dist", "src", "cli.js");
    try {
      await holder.query("begin; lock table account in access exclusive mode");
      const child = spawn(process.execPath, [cli, "backup", "record.zip"], { env, cwd: folder, stdio: "ignore" });
      const ended = once(child, "exit");
      while (!existsSync(join(folder, "record.zip.part"))) await delay(50);
      child.kill("SIGINT");
      expect(await ended).toEqual([130, null]);
      expect(await readdir(folder)).toEqual([]);
    } finally {
      await holder.end();
      await source.drop();
    }
  });

  it("backup, move and restore leave no database of their own at work when they are stopped", async () => {
    expect((await operate(app.database.connectionString, "backup", "record.zip")).code).toBe(0);
    const env = Object.fromEntries(Object.entries(process.env).filter(([name]) => name !== "DATABASE_URL"));
    const data = join(folder, "data");
    const started = (...args: string[]) =>
      spawn(process.execPath, [join(projectRoot, "dist", "src", "cli.js"), ...args], {
        env: { ...env, DATA_DIR: data },
        cwd: folder,
        stdio: "ignore",
      });
    const stopped = async (...args: string[]) => {
      const child = started(...args);
      const ended = once(child, "exit");
      const server = await postmasterOf(data);
      child.kill("SIGINT");
      expect([args[0], await ended]).toEqual([args[0], [130, null]]);
      while (isAlive(server)) await delay(50);
    };
    await stopped("restore", "record.zip");
    await rm(data, { recursive: true });
    expect(await once(started("restore", "record.zip"), "exit")).toEqual([0, null]);
    await stopped("backup", "again.zip");
    await stopped("move", "--to", target.connectionString);
    expect((await readdir(folder)).sort()).toEqual(["data", "record.zip"]);
  });

  it.each(["LATIN1", "SQL_ASCII"])(
    "restore and move refuse a database of %s, and say what is needed",
    async (encoding) => {
      const source = app.database.connectionString;
      const other = await createEmptyDatabase(`ENCODING '${encoding}' LOCALE_PROVIDER libc LOCALE 'C'`);
      try {
        expect((await operate(source, "backup", "record.zip")).code).toBe(0);
        const refused = [
          await operate(other.connectionString, "restore", "record.zip"),
          await operate(source, "move", "--to", other.connectionString),
        ];
        for (const { code, stderr } of refused) {
          expect([code, stderr]).toEqual([
            2,
            expect.stringContaining(`stores text as ${encoding}, and Packledger needs UTF-8`),
          ]);
        }
        await expect(prepareDatabase(other.connectionString)).rejects.toThrow(`stores text as ${encoding}`);
        const client = new Client({ connectionString: other.connectionString });
        await client.connect();
        const { rows } = await client.query("select tablename from pg_tables where schemaname = 'public'");
        await client.end();
        expect(rows).toEqual([]);
      } finally {
        await other.drop();
      }
    },
  );

  it("restore says of a backup that was cut short that it is not whole", async () => {
    const source = app.database.connectionString;
    expect((await operate(source, "backup", "record.zip")).code).toBe(0);
    const { size } = await stat(join(folder, "record.zip"));
    for (const length of [size - 1, Math.floor(size / 2), 10, 0]) {
      await truncate(join(folder, "record.zip"), length);
      const { code, stderr } = await operate(target.connectionString, "restore", "record.zip");
      expect([code, stderr]).toEqual([2, "Error: The file is no backup, or is not whole: its end is missing.\n"]);
    }
  });

  it("move refuses what is no address of a database, and says what to send", async () => {
    const { code, stderr } = await operate(app.database.connectionString, "move", "--to", "db.example.org");
    expect([code, stderr]).toEqual([2, expect.stringContaining("postgresql://")]);
    expect(stderr).not.toContain("DATABASE_URL");
  });
});
