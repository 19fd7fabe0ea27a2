import { createWriteStream } from "node:fs";
import { open, readFile, rename, rm } from "node:fs/promises";
import { dirname } from "node:path";
import { pipeline } from "node:stream/promises";
import type { Client } from "pg";
import { to as copyTo } from "pg-copy-streams";
import { singleConnection } from "../database/connections/single-connection.js";
import { type ArchiveFile, archiveOf } from "../files/archive.js";
import { digesting } from "./digesting.js";
import { readJobs } from "./jobs.js";
import { AUDIT_KEY, JOBS, MANIFEST, type Manifest, type ManifestFile, tablePath } from "./manifest.js";
import { identifiers, readTables } from "./tables.js";

/**
 * Writes a whole record into one file while the service goes on: a ZIP archive with every table as PostgreSQL's COPY writes it, the
 * jobs that wait, the key that signs checkpoints, and a manifest with the SHA-256 of each. All of it is of one instant.
 *
 * The file stands under its name once it is whole and on the disk, readable to its owner alone: it holds digests of passwords.
 *
 * @param auditKeyFile the private key; left out where there is none
 */
export async function writeBackup(connectionString: string, file: string, auditKeyFile: string): Promise<Manifest> {
  const client = singleConnection({ connectionString });
  await client.connect();
  const unfinished = unfinishedBackup(file);
  try {
    // One snapshot for every statement until the end (PostgreSQL: transaction isolation).
    await client.query("begin isolation level repeatable read read only");
    const snapshot = new Snapshot(client, auditKeyFile);
    await writeWhole(snapshot, unfinished, file);
    return snapshot.manifest();
  } finally {
    await client.end().finally(() => rm(unfinished, { force: true }));
  }
}

/** Where a backup grows until it is whole. */
export const unfinishedBackup = (file: string): string => `${file}.part`;

async function writeWhole(snapshot: Snapshot, unfinished: string, file: string): Promise<void> {
  try {
    await pipeline(archiveOf(snapshot.files()), createWriteStream(unfinished, { mode: 0o600 }));
    await sync(unfinished);
    await rename(unfinished, file);
    await sync(dirname(file));
  } catch (error) {
    const { code = "", path = unfinished } = error as NodeJS.ErrnoException;
    const why = path === unfinished && WHY_NOT_WRITTEN[code];
    throw why ? new Error(`The backup is not made, for ${file} cannot be written: ${why}.`, { cause: error }) : error;
  }
}

/** What is in the way of a file, by the system's code. */
const WHY_NOT_WRITTEN: Readonly<Record<string, string>> = {
  ENOSPC: "its disk is full",
  EDQUOT: "its disk has no more room for this account",
  ENOENT: "its folder does not exist",
  ENOTDIR: "its folder is a file",
  EACCES: "this account may not write to its folder",
  EPERM: "this account may not write to its folder",
  EROFS: "its disk is read-only",
};

class Snapshot {
  private readonly written: ManifestFile[] = [];
  private migrations: Manifest["migrations"] = [];
  private takenAt = "";

  constructor(
    private readonly client: Client,
    private readonly auditKeyFile: string,
  ) {}

  async *files(): AsyncGenerator<ArchiveFile> {
    const { rows } = await this.client.query<Manifest["migrations"][number]>(`
      select migration_name as name, checksum from _prisma_migrations where finished_at is not null and rolled_back_at is null
      order by started_at`);
    this.migrations = rows;
    this.takenAt = (await this.client.query<{ now: Date }>("select now()")).rows[0]?.now.toISOString() ?? "";
    for (const { name, columns } of await readTables(this.client)) {
      const copy = `copy ${identifiers(this.client, [name])} (${identifiers(this.client, columns)}) to stdout`;
      const rows = this.client.query(copyTo(copy));
      // When the archive cannot be written nobody reads them any more, and their connection ends while they come.
      rows.on("error", () => undefined);
      yield this.counted(tablePath(name), rows);
    }
    yield this.counted(JOBS, readJobs(this.client));
    const key = await readFile(this.auditKeyFile).catch(ifMissing);
    if (key) yield this.counted(AUDIT_KEY, of(key));
    yield { path: MANIFEST, content: Buffer.from(`${JSON.stringify(this.manifest(), null, 2)}\n`) };
  }

  manifest(): Manifest {
    const { takenAt, migrations, written: files } = this;
    return { format: "packledger-backup", version: 1, takenAt, migrations, files };
  }

  private counted(path: string, source: AsyncIterable<Uint8Array>): ArchiveFile {
    return { path, content: digesting(source, (digest) => this.written.push({ path, ...digest })) };
  }
}

async function* of(bytes: Uint8Array): AsyncGenerator<Uint8Array> {
  yield bytes;
}

function ifMissing(error: NodeJS.ErrnoException): null {
  if (error.code === "ENOENT") return null;
  throw error;
}

/** Waits until what was written is on the disk. */
async function sync(path: string): Promise<void> {
  const handle = await open(path, "r");
  try {
    await handle.sync();
  } finally {
    await handle.close();
  }
}
