import type { Prisma } from "../../generated/prisma/client.js";
import { ADVISORY_LOCKS } from "../database/advisory-locks.js";
import type { Database, Transaction } from "../database/database.js";
import { insertRows } from "../database/rows/insert-rows.js";
import { type AuditEntry, BEFORE_THE_FIRST } from "./audit-entry.js";

export interface StoredReason {
  readonly salt: Uint8Array<ArrayBuffer>;
  readonly text: string;
}

/** An entry as it is stored, with its own hash and, unless it was erased, its reason. */
export interface StoredAuditEntry extends AuditEntry {
  readonly hash: string;
  readonly reason: StoredReason | null;
}

type Row = Prisma.AuditEntryGetPayload<{ include: { reason: true } }>;

/** Waits until no other transaction adds to the chain, and says where it ends. */
export async function lockEnd(tx: Transaction): Promise<{ position: number; hash: string }> {
  const [last] = await tx.$queryRaw<{ position: number; hash: string }[]>`
    SELECT "position"::float8, encode(hash, 'hex') AS hash FROM audit_log_end(${ADVISORY_LOCKS.addToAuditLog}::bigint)`;
  return last ?? { position: 0, hash: BEFORE_THE_FIRST };
}

/** Adds entries, in their order. */
export async function addEntries(
  tx: Transaction,
  added: readonly {
    readonly entry: AuditEntry;
    readonly hash: string;
    readonly reason: StoredReason | null;
  }[],
): Promise<void> {
  const rows = added.map(({ entry, hash }) => ({
    position: entry.position,
    at: entry.at,
    actorId: entry.actor,
    event: entry.event,
    subjectKind: entry.subject.kind,
    subjectId: entry.subject.id,
    fromState: entry.from,
    toState: entry.to,
    rules: entry.rules,
    reasonDigest: entry.reasonDigest && bytea(entry.reasonDigest),
    previousHash: bytea(entry.previous),
    hash: bytea(hash),
  }));
  await insertRows(tx, "audit_log", rows);
  const reasons = added.flatMap(({ entry, reason }) =>
    reason ? [{ position: entry.position, salt: bytea(hex(reason.salt)), text: reason.text }] : [],
  );
  await insertRows(tx, "audit_reason", reasons);
}

/** Entries after a position, in order. */
export async function entriesAfter(database: Database, position: number, take: number): Promise<StoredAuditEntry[]> {
  const rows = await database.auditEntry.findMany({
    where: { position: { gt: position } },
    include: { reason: true },
    orderBy: { position: "asc" },
    take,
  });
  return rows.map(entryOf);
}

/** Everything that happened to one thing, in order. */
export async function entriesFor(
  database: Database,
  kind: string,
  id: string,
  limit: number,
): Promise<StoredAuditEntry[]> {
  const rows = await database.auditEntry.findMany({
    where: { subjectKind: kind, subjectId: id },
    include: { reason: true },
    orderBy: { position: "desc" },
    take: limit,
  });
  return rows.map(entryOf).reverse();
}

/** Reasons given for one event of each of several subjects, by the subjects' ids; one that was erased is left out. */
export async function reasonsOf(
  database: Database,
  kind: string,
  event: string,
  ids: readonly string[],
): Promise<ReadonlyMap<string, string>> {
  const rows = await database.auditEntry.findMany({
    where: { subjectKind: kind, event, subjectId: { in: [...ids] } },
    select: { subjectId: true, reason: { select: { text: true } } },
  });
  return new Map(rows.flatMap(({ subjectId, reason }) => (reason ? [[subjectId, reason.text] as const] : [])));
}

/** Erases every reason that an account gave, or that was given for what was done to it; the digests stay. */
export async function eraseReasonsOf(tx: Transaction, accountId: string): Promise<void> {
  const about = { subjectKind: "account", subjectId: accountId };
  await tx.auditReason.deleteMany({ where: { entry: { OR: [{ actorId: accountId }, about] } } });
}

/** Erases one reason; false when the entry is about something else, or has none. */
export async function eraseReasonAt(tx: Transaction, position: number, kind: string, id: string): Promise<boolean> {
  const where = { position, entry: { subjectKind: kind, subjectId: id } };
  return (await tx.auditReason.deleteMany({ where })).count > 0;
}

function entryOf(row: Row): StoredAuditEntry {
  return {
    position: Number(row.position),
    at: row.at.toISOString(),
    actor: row.actorId,
    event: row.event,
    subject: { kind: row.subjectKind, id: row.subjectId },
    from: row.fromState,
    to: row.toState,
    rules: row.rules,
    reasonDigest: row.reasonDigest && hex(row.reasonDigest),
    previous: hex(row.previousHash),
    hash: hex(row.hash),
    reason: row.reason,
  };
}

/** As PostgreSQL reads bytes. */
const bytea = (hexadecimal: string): string => `\\x${hexadecimal}`;

function hex(bytes: Uint8Array): string {
  return Buffer.from(bytes).toString("hex");
}
