import type { Migration } from "./migration-files.js";

/** A row of the database's own history of migrations. */
export interface AppliedMigration {
  readonly name: string;
  readonly checksum: string;
  /** Only Prisma's own tools leave a migration unfinished: this program commits it with its row, or not at all. */
  readonly isFinished: boolean;
}

/**
 * Which migrations a database lacks, oldest first.
 *
 * @throws in a sentence for the operator when the known migrations do not continue what was applied
 */
export function pendingMigrations(
  known: readonly Migration[],
  applied: readonly AppliedMigration[],
): readonly Migration[] {
  const checksums = new Map(known.map(({ name, checksum }) => [name, checksum]));
  const unknown = applied.filter(({ name }) => !checksums.has(name)).map(({ name }) => name);
  const first = known[0]?.name ?? "";
  if (unknown.some((name) => name < first)) {
    throw new Error(
      `The database was made by a version of Packledger from before the first release, which this one does not carry on (${unknown.join(", ")}). ` +
        "Begin a new data folder (DATA_DIR) or a new database (DATABASE_URL).",
    );
  }
  if (unknown.length > 0) {
    throw new Error(
      `The database was migrated by a newer version of Packledger (${unknown.join(", ")}). Start that version or a later one.`,
    );
  }
  const unfinished = applied.filter(({ isFinished }) => !isFinished).map(({ name }) => name);
  if (unfinished.length > 0) {
    throw new Error(
      `Another tool began migrations and did not finish them (${unfinished.join(", ")}). See whether their tables are there, then set ` +
        "in their rows of _prisma_migrations finished_at = now() if all of their SQL took effect, rolled_back_at = now() if none did.",
    );
  }
  const changed = applied.filter(({ name, checksum }) => checksums.get(name) !== checksum).map(({ name }) => name);
  if (changed.length > 0) {
    throw new Error(
      `Migrations were changed after they had been applied (${changed.join(", ")}). Restore the files as they were shipped.`,
    );
  }
  const done = new Set(applied.map(({ name }) => name));
  const pending = known.filter(({ name }) => !done.has(name));
  const last = known.findLast(({ name }) => done.has(name));
  const skipped = last ? pending.filter(({ name }) => name < last.name).map(({ name }) => name) : [];
  if (skipped.length > 0) {
    throw new Error(
      `Migrations are missing in the database before ${last?.name}, which it has: ${skipped.join(", ")}. A migration is added after all others.`,
    );
  }
  return pending;
}
