import { randomUUID } from "node:crypto";
import type { Client } from "pg";
import { singleConnection } from "../src/platform/database/connections/single-connection.js";
import { isDatabaseUnavailable } from "../src/platform/database/errors.js";
import { type Migration, readMigrations } from "./migration-files.js";
import { type AppliedMigration, pendingMigrations } from "./pending-migrations.js";

/** The lock under which Prisma's own command line migrates, so that either waits for the other. */
const MIGRATION_LOCK = 72_707_369;

/** As Prisma makes it: its command line reads and continues the same table. */
const CREATE_HISTORY = `
  create table if not exists _prisma_migrations (
    id varchar(36) primary key,
    checksum varchar(64) not null,
    finished_at timestamptz,
    migration_name varchar(255) not null,
    logs text,
    rolled_back_at timestamptz,
    started_at timestamptz not null default now(),
    applied_steps_count integer not null default 0
  )`;

/**
 * Brings the database up to the given migrations, those of this folder unless others are given, and returns the names
 * of those that were applied.
 *
 * Each migration and the row that records it are one transaction: a program that is killed at any instant leaves a
 * migration applied and recorded, or neither, and the next start goes on from there. Programs that start together wait
 * for each other.
 *
 * @throws when the database holds another history than these migrations continue, or a migration fails
 */
export async function migrate(connectionString: string, migrations?: readonly Migration[]): Promise<readonly string[]> {
  const known = migrations ?? (await readMigrations());
  const client = singleConnection({ connectionString });
  await client.connect();
  try {
    // Freed by the server itself once this session is gone, however it ends.
    await client.query("select pg_advisory_lock($1)", [MIGRATION_LOCK]);
    await client.query(CREATE_HISTORY);
    const pending = pendingMigrations(known, await appliedMigrations(client));
    for (const migration of pending) await apply(client, migration);
    return pending.map(({ name }) => name);
  } finally {
    await client.end();
  }
}

async function appliedMigrations(client: Client): Promise<readonly AppliedMigration[]> {
  const { rows } = await client.query<AppliedMigration>(`
    select migration_name as name, checksum, finished_at is not null as "isFinished"
    from _prisma_migrations
    where rolled_back_at is null
    order by started_at`);
  return rows;
}

/** Leaves the connection in a failed transaction when it throws; its end rolls that back. */
async function apply(client: Client, { name, sql, checksum }: Migration): Promise<void> {
  await client.query("begin");
  try {
    await client.query(sql);
  } catch (error) {
    if (isDatabaseUnavailable(error)) throw error;
    throw new Error(`The migration ${name} failed, and left nothing behind: ${(error as Error).message}`, {
      cause: error,
    });
  }
  await client.query(
    `insert into _prisma_migrations (id, checksum, migration_name, started_at, finished_at, applied_steps_count)
     values ($1, $2, $3, now(), clock_timestamp(), 1)`,
    [randomUUID(), checksum, name],
  );
  await client.query("commit");
}
