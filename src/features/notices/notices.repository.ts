import { Injectable } from "@nestjs/common";
import type { Notice, Prisma } from "../../generated/prisma/client.js";
import { Database } from "../../platform/database/database.js";
import { byId } from "../../platform/paging/by-id.js";
import type { Window } from "../../platform/paging/page.js";
import type { NoticesArgs } from "./notices.views.js";

export type NoticeFilter = Pick<NoticesArgs, "kind" | "unread">;

/** Reads the notices of one account, and marks them. */
@Injectable()
export class NoticesRepository {
  constructor(private readonly database: Database) {}

  /** Newest first. */
  list(accountId: string, filter: NoticeFilter, window: Window): Promise<Notice[]> {
    const { where, ...page } = byId(window, "desc");
    return this.database.notice.findMany({ where: { ...ofAccount(accountId, filter), ...where }, ...page });
  }

  count(accountId: string, filter: NoticeFilter): Promise<number> {
    return this.database.notice.count({ where: ofAccount(accountId, filter) });
  }

  /** The newest ones, or those after one of them; the oldest of them first. */
  async newest(accountId: string, afterId: string | null, take: number): Promise<Notice[]> {
    const where = { accountId, ...(afterId ? { id: { gt: afterId } } : {}) };
    return (await this.database.notice.findMany({ where, orderBy: { id: "desc" }, take })).reverse();
  }

  /** Null when the account has no such notice. One that was read keeps the time at which it was. */
  async mark(id: string, accountId: string, isRead: boolean): Promise<Notice | null> {
    const change = isRead ? { readAt: null } : {};
    const data = { readAt: isRead ? new Date() : null };
    await this.database.notice.updateMany({ where: { id, accountId, ...change }, data });
    return this.database.notice.findFirst({ where: { id, accountId } });
  }

  /** Marks some unread notices of an account as read, or all of them. */
  async markMany(accountId: string, ids: readonly string[] | null): Promise<void> {
    await this.database.$executeRaw`
      UPDATE notice SET read_at = now() FROM (
        SELECT id FROM notice WHERE account_id = ${accountId}::uuid AND read_at IS NULL
          AND (${ids === null} OR id = ANY(${ids ? [...ids] : []}::uuid[])) ORDER BY id FOR NO KEY UPDATE
      ) AS unread WHERE notice.id = unread.id`;
  }
}

function ofAccount(accountId: string, { kind, unread }: NoticeFilter): Prisma.NoticeWhereInput {
  const read = unread == null ? {} : { readAt: unread ? null : { not: null } };
  return { accountId, ...(kind ? { kind } : {}), ...read };
}
