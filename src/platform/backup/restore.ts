import { writeFile } from "node:fs/promises";
import { Readable } from "node:stream";
import { buffer, text } from "node:stream/consumers";
import { pipeline } from "node:stream/promises";
import type { Client } from "pg";
import { from as copyFrom } from "pg-copy-streams";
import { type Entry, openPromise, type ZipFile } from "yauzl";
import { migrate } from "../../../prisma/migrate.js";
import { readMigrations } from "../../../prisma/migration-files.js";
import { singleConnection } from "../database/connections/single-connection.js";
import { requireUtf8 } from "../database/opening/require-utf8.js";
import { migrateQueue } from "../queue/migrate-queue.js";
import { type Digest, digesting } from "./digesting.js";
import { queueJobs } from "./jobs.js";
import { AUDIT_KEY, JOBS, MANIFEST, type Manifest, readManifest, tablePath } from "./manifest.js";
import { identifiers, readForeignKeys, readSequences, readTables, type Table } from "./tables.js";

/**
 * Fills an empty database with a backup: all of it, or nothing. Every file is held to its SHA-256. The tables are made by the migrations
 * that the backup names; the next start brings them up to the program's own.
 *
 * @param auditKeyFile where the key that signs checkpoints is put, unless one is there
 * @throws Error when the database has data or is not of UTF-8, when the backup is damaged, or when a later version of the program made it
 */
export async function restoreBackup(connectionString: string, file: string, auditKeyFile: string): Promise<Manifest> {
  const archive = await Archive.open(file);
  try {
    const { manifest } = archive;
    const client = singleConnection({ connectionString });
    await client.connect();
    try {
      await requireUtf8(client);
      await requireEmpty(client);
      await migrate(connectionString, await migrationsOf(manifest));
      await migrateQueue(connectionString);
      await client.query("begin");
      await fill(client, archive);
      await client.query("commit");
      await client.query("analyze");
    } finally {
      await client.end();
    }
    await archive.restoreKey(auditKeyFile);
    return manifest;
  } finally {
    archive.close();
  }
}

async function requireEmpty(client: Client): Promise<void> {
  for (const { name } of await readTables(client)) {
    if (!FILLED_BY_PEOPLE.has(name)) continue;
    const { rows } = await client.query(`select 1 from ${identifiers(client, [name])} limit 1`);
    if (rows.length > 0)
      throw new Error(`The database has data already, in its table ${name}. Restore into an empty one.`);
  }
}

/** Tables in which the migrations themselves write nothing; one with a row tells that the record is in use. */
const FILLED_BY_PEOPLE = new Set(["account", "pack", "run", "log", "audit_log"]);

/** The program's own migrations up to the backup's. */
async function migrationsOf({ migrations }: Manifest) {
  const known = new Map((await readMigrations()).map((one) => [one.name, one]));
  return migrations.map(({ name, checksum }) => {
    const own = known.get(name);
    if (own?.checksum === checksum) return own;
    throw new Error(`The backup was made by another version of the program: its migration ${name} is not known here.`);
  });
}

/** In one transaction. What triggers hold of each single change was held when it was made, and foreign keys are checked at the end. */
async function fill(client: Client, archive: Archive): Promise<void> {
  const tables = await readTables(client);
  const keys = await readForeignKeys(client);
  for (const { table, name } of keys)
    await client.query(`alter table ${table} drop constraint ${identifiers(client, [name])}`);
  for (const { name } of tables) await client.query(`alter table ${identifiers(client, [name])} disable trigger user`);
  await client.query(
    `truncate ${identifiers(
      client,
      tables.map(({ name }) => name),
    )}`,
  );
  for (const table of tables) await copyInto(client, table, archive);
  for (const { table, column } of await readSequences(client)) await continueNumbers(client, table, column);
  for (const { name } of tables) await client.query(`alter table ${identifiers(client, [name])} enable trigger user`);
  for (const { table, name, definition } of keys) {
    await client.query(`alter table ${table} add constraint ${identifiers(client, [name])} ${definition}`);
  }
  const jobs = await text(archive.read(JOBS));
  await queueJobs(
    client,
    jobs.split("\n").filter((line) => line !== ""),
  );
}

async function copyInto(client: Client, { name, columns }: Table, archive: Archive): Promise<void> {
  const copy = `copy ${identifiers(client, [name])} (${identifiers(client, columns)}) from stdin`;
  await pipeline(archive.read(tablePath(name)), client.query(copyFrom(copy)));
}

async function continueNumbers(client: Client, table: string, column: string): Promise<void> {
  const [from, which] = [identifiers(client, [table]), identifiers(client, [column])];
  await client.query(
    `select setval(pg_get_serial_sequence($1, $2), coalesce(max(${which}), 1), max(${which}) is not null) from ${from}`,
    [`public.${from}`, column],
  );
}

/** The file of a backup, opened. */
class Archive {
  private constructor(
    private readonly zip: ZipFile,
    private readonly entries: ReadonlyMap<string, Entry>,
    readonly manifest: Manifest,
  ) {}

  static async open(file: string): Promise<Archive> {
    const zip = await openPromise(file, { autoClose: false }).catch((cause: NodeJS.ErrnoException) => {
      // The system's own faults have codes, such as that of a file that may not be read.
      throw cause.code ? cause : new Error("The file is no backup, or is not whole: its end is missing.", { cause });
    });
    try {
      const entries = new Map<string, Entry>();
      for await (const entry of zip.eachEntry()) entries.set(entry.fileName, entry);
      const last = entries.get(MANIFEST);
      if (!last) throw new Error("The file has no manifest: it is no backup, or not whole.");
      return new Archive(zip, entries, readManifest(await text(await zip.openReadStreamPromise(last))));
    } catch (error) {
      zip.close();
      throw error;
    }
  }

  /** The bytes of one file; reading them fails at their end when they are not those that were written. */
  read(path: string): Readable {
    return Readable.from(this.checked(path));
  }

  async restoreKey(to: string): Promise<void> {
    if (!this.entries.has(AUDIT_KEY)) return;
    const key = await buffer(this.read(AUDIT_KEY));
    await writeFile(to, key, { mode: 0o600, flag: "wx" }).catch((error: NodeJS.ErrnoException) => {
      if (error.code !== "EEXIST") throw error;
    });
  }

  close(): void {
    this.zip.close();
  }

  private async *checked(path: string): AsyncGenerator<Uint8Array> {
    const entry = this.entries.get(path);
    const written = this.manifest.files.find((one) => one.path === path);
    if (!entry || !written) throw new Error(`The backup lacks ${path}.`);
    let found: Digest | undefined;
    yield* digesting(await this.zip.openReadStreamPromise(entry), (digest) => {
      found = digest;
    });
    if (found?.sha256 !== written.sha256) throw new Error(`The backup is damaged: ${path} is not what was written.`);
  }
}
