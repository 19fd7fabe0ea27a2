import { existsSync } from "node:fs";
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from "@jest/globals";
import { Client } from "pg";
import { startTestApp, type TestApp } from "../support/app.js";
import { Commands } from "../support/command-line.js";
import { createEmptyDatabase, type TestDatabase } from "../support/database.js";
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

  it("move refuses what is no address of a database, and says what to send", async () => {
    const { code, stderr } = await operate(app.database.connectionString, "move", "--to", "db.example.org");
    expect([code, stderr]).toEqual([2, expect.stringContaining("postgresql://")]);
    expect(stderr).not.toContain("DATABASE_URL");
  });
});
