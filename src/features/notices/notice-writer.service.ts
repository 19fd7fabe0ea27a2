import { Injectable } from "@nestjs/common";
import type { Notice, Prisma } from "../../generated/prisma/client.js";
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
}

/** Another way on which notices are told, beside the list: it queues its own work in the transaction that writes them. */
export interface NoticeOutlet {
  told(tx: Transaction, notices: readonly Notice[]): Promise<void>;
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

  /** Tells accounts something, if the transaction is committed; nothing is told to accounts that were erased. */
  async tell(tx: Transaction, news: readonly NewNotice[]): Promise<void> {
    if (news.length === 0) return;
    const ids = [...new Set(news.map(({ accountId }) => accountId))];
    const there = await tx.account.findMany({ where: { id: { in: ids }, erasedAt: null }, select: { id: true } });
    const accounts = new Set(there.map(({ id }) => id));
    const data = news
      .filter(({ accountId }) => accounts.has(accountId))
      .map(({ kind, accountId, subjectId, facts = {} }) => ({
        kind,
        accountId,
        subjectId,
        subjectKind: NOTICES[kind].subject,
        facts: facts as Prisma.InputJsonObject,
      }));
    if (data.length === 0) return;
    const notices = await tx.notice.createManyAndReturn({ data });
    for (const id of accounts) await this.notifications.publish(tx, noticesOf(id), {});
    for (const outlet of this.outlets) await outlet.told(tx, notices);
  }
}
