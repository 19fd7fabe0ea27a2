import { randomBytes } from "node:crypto";
import { Injectable } from "@nestjs/common";
import { Database, type Transaction } from "../database/database.js";
import { digestOfReason, type SubjectKind } from "./audit-entry.js";
import {
  addEntries,
  entriesFor,
  eraseReasonAt,
  eraseReasonsOf,
  reasonsOf,
  type StoredAuditEntry,
} from "./audit-log.repository.js";

/** What an entry of the audit log is made of. */
export interface AuditEvent {
  /** Account that did it; null for the service itself or its operator. */
  readonly actorId: string | null;
  readonly event: string;
  readonly subject: { readonly kind: SubjectKind; readonly id: string };
  readonly from?: string | null;
  readonly to?: string | null;
  readonly rules?: readonly string[];
  readonly reason?: string | null;
}

/** Entries shown about one thing at most, the newest ones. */
const MAX_SHOWN = 500;

/** The audit log: entries chained by hash, written in the transactions whose events they record. */
@Injectable()
export class AuditLog {
  private readonly pending = new WeakMap<Transaction, Pending>();

  constructor(private readonly database: Database) {}

  /**
   * Does work in a transaction and appends the events that it recorded at the end, so that the chain is locked only for a
   * moment and after every other lock.
   *
   * @param options longest time that the transaction may take, ms, when it is more than usual
   */
  transaction<T>(work: (tx: Transaction) => Promise<T>, options: { timeout?: number } = {}): Promise<T> {
    return this.database.$transaction(async (tx) => {
      const pending: Pending = { events: [], pages: [] };
      this.pending.set(tx, pending);
      const result = await work(tx);
      await append(tx, pending.events);
      for (const pages of pending.pages) for await (const events of pages) await append(tx, events);
      return result;
    }, options);
  }

  /** Records what the transaction does; it must be one that `transaction` began. */
  record(tx: Transaction, event: AuditEvent): void {
    this.pendingOf(tx).events.push(event);
  }

  /**
   * Records any number of events without holding them all: pages of them are read when the transaction ends, and follow its others.
   *
   * @param pages each read from the database alone
   */
  recordPages(tx: Transaction, pages: AsyncIterable<readonly AuditEvent[]>): void {
    this.pendingOf(tx).pages.push(pages);
  }

  /** The newest 500 entries about one subject, in order. */
  entriesFor(kind: SubjectKind, id: string): Promise<StoredAuditEntry[]> {
    return entriesFor(this.database, kind, id, MAX_SHOWN);
  }

  /** Reasons given for one event of each of several subjects, by the subjects' ids; one that was erased is left out. */
  reasonsOf(kind: SubjectKind, event: string, ids: readonly string[]): Promise<ReadonlyMap<string, string>> {
    return reasonsOf(this.database, kind, event, ids);
  }

  /** Erases every reason that an account gave, or that was given for its role. The chain stays valid. */
  eraseReasonsOf(tx: Transaction, accountId: string): Promise<void> {
    return eraseReasonsOf(tx, accountId);
  }

  /** Erases one reason, whoever gave it, and records that; false when there is none. The chain stays valid. */
  async eraseReasonAt(
    tx: Transaction,
    position: number,
    subject: AuditEvent["subject"],
    actorId: string,
  ): Promise<boolean> {
    const erased = await eraseReasonAt(tx, position, subject.kind, subject.id);
    if (erased) this.record(tx, { actorId, event: "erase-reason", subject, to: String(position) });
    return erased;
  }

  private pendingOf(tx: Transaction): Pending {
    const pending = this.pending.get(tx);
    if (!pending) throw new Error("an event is recorded in a transaction of the audit log");
    return pending;
  }
}

/** What a transaction records at its end. */
interface Pending {
  readonly events: AuditEvent[];
  readonly pages: AsyncIterable<readonly AuditEvent[]>[];
}

async function append(tx: Transaction, events: readonly AuditEvent[]): Promise<void> {
  if (events.length === 0) return;
  const added = events.map(({ actorId, event, subject, from = null, to = null, rules = [], reason = null }) => {
    const stored = reason === null ? null : { salt: Uint8Array.from(randomBytes(16)), text: reason };
    const reasonDigest = stored && digestOfReason(stored.salt, stored.text);
    return { entry: { actor: actorId, event, subject, from, to, rules, reasonDigest }, reason: stored };
  });
  await addEntries(tx, added);
}
