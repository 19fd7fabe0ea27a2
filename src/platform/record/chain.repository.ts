import type { Prisma } from "../../generated/prisma/client.js";
import type { Database, Transaction } from "../database/database.js";
import { BEFORE_THE_FIRST, type Link } from "./link.js";

/** Names the lock that whoever adds to the chain holds until it is committed. */
const CHAIN_LOCK = 7_120_451_204;

export interface StoredReason {
  readonly salt: Uint8Array<ArrayBuffer>;
  readonly text: string;
}

/** A link as it is stored, with its own hash and, unless they were erased, the words of its reason. */
export interface StoredLink extends Link {
  readonly hash: string;
  readonly words: StoredReason | null;
}

type Row = Prisma.TransitionGetPayload<{ include: { text: true } }>;

/** Waits until no other transaction adds to the chain, and says where it ends. */
export async function lockEnd(tx: Transaction): Promise<{ position: number; hash: string }> {
  await tx.$executeRaw`SELECT pg_advisory_xact_lock(${CHAIN_LOCK}::bigint)`;
  const last = await tx.transition.findFirst({ orderBy: { position: "desc" }, select: { position: true, hash: true } });
  return last ? { position: Number(last.position), hash: hex(last.hash) } : { position: 0, hash: BEFORE_THE_FIRST };
}

export async function addLink(tx: Transaction, link: Link, hash: string, words: StoredReason | null): Promise<void> {
  await tx.transition.create({
    data: {
      position: link.position,
      at: new Date(link.at),
      actorId: link.actor,
      event: link.event,
      subjectKind: link.subject.kind,
      subjectId: link.subject.id,
      fromState: link.from,
      toState: link.to,
      rules: [...link.rules],
      reasonDigest: link.reason === null ? null : Buffer.from(link.reason, "hex"),
      previousHash: Buffer.from(link.previous, "hex"),
      hash: Buffer.from(hash, "hex"),
      ...(words ? { text: { create: words } } : {}),
    },
    select: { position: true },
  });
}

/** Links behind a position, in order. */
export async function linksAfter(database: Database, position: number, take: number): Promise<StoredLink[]> {
  const rows = await database.transition.findMany({
    where: { position: { gt: position } },
    include: { text: true },
    orderBy: { position: "asc" },
    take,
  });
  return rows.map(linkOf);
}

/** Everything that happened to one thing, in order. */
export async function linksAbout(database: Database, kind: string, id: string, most: number): Promise<StoredLink[]> {
  const rows = await database.transition.findMany({
    where: { subjectKind: kind, subjectId: id },
    include: { text: true },
    orderBy: { position: "desc" },
    take: most,
  });
  return rows.map(linkOf).reverse();
}

/** Erases the words of every reason that an account gave, or that was given for what was done to it; their digests stay. */
export async function eraseWordsOf(tx: Transaction, accountId: string): Promise<void> {
  const about = { subjectKind: "account", subjectId: accountId };
  await tx.transitionText.deleteMany({ where: { transition: { OR: [{ actorId: accountId }, about] } } });
}

/** Erases the words of one reason; false when the link is about something else, or has none. */
export async function eraseWordsAt(tx: Transaction, position: number, kind: string, id: string): Promise<boolean> {
  const where = { position, transition: { subjectKind: kind, subjectId: id } };
  return (await tx.transitionText.deleteMany({ where })).count > 0;
}

function linkOf(row: Row): StoredLink {
  return {
    position: Number(row.position),
    at: row.at.toISOString(),
    actor: row.actorId,
    event: row.event,
    subject: { kind: row.subjectKind, id: row.subjectId },
    from: row.fromState,
    to: row.toState,
    rules: row.rules,
    reason: row.reasonDigest && hex(row.reasonDigest),
    previous: hex(row.previousHash),
    hash: hex(row.hash),
    words: row.text,
  };
}

function hex(bytes: Uint8Array): string {
  return Buffer.from(bytes).toString("hex");
}
