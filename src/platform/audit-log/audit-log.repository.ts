import type { Prisma } from "../../generated/prisma/client.js";
import { ADVISORY_LOCKS } from "../database/advisory-locks.js";
import type { Database, Transaction } from "../database/database.js";
import { bytesText } from "../database/rows/insert-rows.js";
import { type AuditEntry, canonicalParts, type UnplacedEntry } from "./audit-entry.js";

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

/** Adds entries at the end of the chain, in their order, once no other transaction adds to it; they are of that moment. */
export async function addEntries(
  tx: Transaction,
  added: readonly { readonly entry: UnplacedEntry; readonly reason: StoredReason | null }[],
): Promise<void> {
  const entries = added.map(({ entry, reason }) => ({
    canonical: canonicalParts(entry),
    row: {
      actor_id: entry.actor,
      event: entry.event,
      subject_kind: entry.subject.kind,
      subject_id: entry.subject.id,
      from_state: entry.from,
      to_state: entry.to,
      rules: entry.rules,
      reason_digest: entry.reasonDigest && `\\x${entry.reasonDigest}`,
    },
    ...(reason && { reason: { salt: bytesText(reason.salt), text: reason.text } }),
  }));
  await tx.$executeRaw`
    SELECT append_to_audit_log(${ADVISORY_LOCKS.addToAuditLog}::bigint, ${JSON.stringify(entries)}::json)`;
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

function hex(bytes: Uint8Array): string {
  return Buffer.from(bytes).toString("hex");
}
