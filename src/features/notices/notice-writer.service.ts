import { Injectable } from "@nestjs/common";
import type { Notice, Prisma } from "../../generated/prisma/client.js";
import type { SubjectKind } from "../../platform/audit-log/audit-entry.js";
import type { Transaction } from "../../platform/database/database.js";
import { Notifications } from "../../platform/notifications/notifications.js";
import { NOTICES, type NoticeFacts, type NoticeKind } from "./catalogue.js";

export { noticeView } from "./notice-view.js";

/** Something to tell an account. */
export interface NewNotice {
  readonly kind: NoticeKind;
  readonly accountId: string;
  /** What it refers to, of the sort that the catalogue names for its kind. */
  readonly subjectId: string;
  readonly facts?: NoticeFacts;
  /**
   * The entry of the audit log with whose reason it is shown, which the same transaction records; its subject is locked by then, so that the next
   * such entry is this one.
   */
  readonly reasonOf?: { readonly kind: SubjectKind; readonly id: string; readonly event: string };
}

/** Another way on which notices are told, beside the list: it queues its own work in the transaction that writes them. */
export interface NoticeOutlet {
  told(tx: Transaction, notices: readonly Notice[]): Promise<void>;
  /** Locks what it will write to when these accounts are told something. */
  hold(tx: Transaction, accountIds: readonly string[]): Promise<void>;
}

/** The topic on which an account's new notices are announced. */
export const noticesOf = (accountId: string): string => `${accountId}/notices`;

/** Writes notices in the transactions of what they tell of. */
@Injectable()
export class NoticeWriter {
  private readonly outlets: NoticeOutlet[] = [];

  constructor(private readonly notifications: Notifications) {}

  /** Before the queue is started. */
  addOutlet(outlet: NoticeOutlet): void {
    this.outlets.push(outlet);
  }

  /** Locks what telling accounts locks, where they are told after packs are locked: accounts and webhooks come before. */
  async hold(tx: Transaction, accountIds: readonly string[]): Promise<void> {
    if (accountIds.length === 0) return;
    await tx.$queryRaw`SELECT FROM account WHERE id = ANY(${[...accountIds]}::uuid[]) ORDER BY id FOR KEY SHARE`;
    for (const outlet of this.outlets) await outlet.hold(tx, accountIds);
  }

  /** Tells accounts something, if the transaction is committed; nothing is told to accounts that were erased. */
  async tell(tx: Transaction, news: readonly NewNotice[]): Promise<void> {
    if (news.length === 0) return;
    const ids = [...new Set(news.map(({ accountId }) => accountId))];
    const there = await tx.account.findMany({ where: { id: { in: ids }, erasedAt: null }, select: { id: true } });
    const accounts = new Set(there.map(({ id }) => id));
    const after = news.some(({ reasonOf }) => reasonOf) ? await endOfAuditLog(tx) : 0;
    const data = news
      .filter(({ accountId }) => accounts.has(accountId))
      .map(({ kind, accountId, subjectId, facts = {}, reasonOf }) => ({
        kind,
        accountId,
        subjectId,
        subjectKind: NOTICES[kind].subject,
        facts: { ...facts, ...(reasonOf ? { reasonOf: { ...reasonOf, after } } : {}) } as Prisma.InputJsonObject,
      }));
    if (data.length === 0) return;
    const notices = await tx.notice.createManyAndReturn({ data });
    for (const id of accounts) await this.notifications.publish(tx, noticesOf(id), {});
    for (const outlet of this.outlets) await outlet.told(tx, notices);
  }
}

/** The last position that others have written; what this transaction records comes after it. */
async function endOfAuditLog(tx: Transaction): Promise<number> {
  const { _max } = await tx.auditEntry.aggregate({ _max: { position: true } });
  return Number(_max.position ?? 0);
}
