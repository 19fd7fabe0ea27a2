import { randomBytes } from "node:crypto";
import { Injectable } from "@nestjs/common";
import { Database, type Transaction } from "../database/database.js";
import { addLink, eraseWordsAt, eraseWordsOf, linksAbout, lockEnd, type StoredLink } from "./chain.repository.js";
import { digestOfReason, hashOfLink, type SubjectKind } from "./link.js";

/** Something that happened, as whoever did it tells it. */
export interface Happening {
  /** Account that did it; null for the service itself or its operator. */
  readonly actorId: string | null;
  readonly event: string;
  readonly subject: { readonly kind: SubjectKind; readonly id: string };
  readonly from?: string | null;
  readonly to?: string | null;
  readonly rules?: readonly string[];
  readonly reason?: string | null;
}

/** Most links that are shown about one thing, the newest ones. */
const MOST_SHOWN = 500;

/** Writes down what happens, chained by hash, in the transactions in which it happens. */
@Injectable()
export class Happenings {
  private readonly told = new WeakMap<Transaction, Happening[]>();

  constructor(private readonly database: Database) {}

  /**
   * Does work in a transaction and adds what it told of to the chain at its end, so that the chain is locked only for a
   * moment and after every other lock.
   *
   * @param options longest time that the transaction may take, ms, when it is more than usual
   */
  transaction<T>(work: (tx: Transaction) => Promise<T>, options: { timeout?: number } = {}): Promise<T> {
    return this.database.$transaction(async (tx) => {
      const happenings: Happening[] = [];
      this.told.set(tx, happenings);
      const result = await work(tx);
      await append(tx, happenings);
      return result;
    }, options);
  }

  /** Tells of something that the transaction does; it must be one of `transaction`. */
  tell(tx: Transaction, happening: Happening): void {
    const happenings = this.told.get(tx);
    if (!happenings) throw new Error("what happens is told in a transaction of the record");
    happenings.push(happening);
  }

  /** What happened to one thing, in order; the newest 500. */
  about(kind: SubjectKind, id: string): Promise<StoredLink[]> {
    return linksAbout(this.database, kind, id, MOST_SHOWN);
  }

  /** Erases the words of every reason that an account gave, or that was given for its role. The chain stays whole. */
  eraseWordsOf(tx: Transaction, accountId: string): Promise<void> {
    return eraseWordsOf(tx, accountId);
  }

  /** Erases the words of one reason, whoever gave it, and tells so; false when there are none. The chain stays whole. */
  async eraseWordsAt(
    tx: Transaction,
    position: number,
    subject: Happening["subject"],
    actorId: string,
  ): Promise<boolean> {
    const erased = await eraseWordsAt(tx, position, subject.kind, subject.id);
    if (erased) this.tell(tx, { actorId, event: "erase-words", subject, to: String(position) });
    return erased;
  }
}

async function append(tx: Transaction, happenings: readonly Happening[]): Promise<void> {
  if (happenings.length === 0) return;
  let end = await lockEnd(tx);
  for (const { actorId, event, subject, from = null, to = null, rules = [], reason = null } of happenings) {
    const words = reason === null ? null : { salt: Uint8Array.from(randomBytes(16)), text: reason };
    const link = {
      position: end.position + 1,
      at: new Date().toISOString(),
      actor: actorId,
      event,
      subject,
      from,
      to,
      rules,
      reason: words && digestOfReason(words.salt, words.text),
      previous: end.hash,
    };
    const hash = hashOfLink(link);
    await addLink(tx, link, hash, words);
    end = { position: link.position, hash };
  }
}
