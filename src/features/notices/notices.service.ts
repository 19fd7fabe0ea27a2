import { Injectable } from "@nestjs/common";
import type { Caller } from "../../platform/auth/account.js";
import { idOf } from "../../platform/database/rows/uuid.js";
import { type Page, readPage } from "../../platform/paging/page.js";
import { notFound } from "../../platform/problems/problem.js";
import { NoticeReasons } from "./notice-reasons.service.js";
import { noticeView } from "./notice-view.js";
import { NoticesRepository } from "./notices.repository.js";
import type { NoticesArgs, NoticeView } from "./notices.views.js";

/** The notices of whoever asks. */
@Injectable()
export class NoticesService {
  constructor(
    private readonly noticesRepository: NoticesRepository,
    private readonly noticeReasons: NoticeReasons,
  ) {}

  async list(args: NoticesArgs, caller: Caller): Promise<Page<NoticeView>> {
    const filter = { kind: args.kind ?? null, unread: args.unread ?? null };
    const page = await readPage(args, {
      name: "notices",
      filters: { accountId: caller.id, ...filter },
      keys: ["uuid"],
      read: (window) => this.noticesRepository.list(caller.id, filter, window),
      count: () => this.noticesRepository.count(caller.id, filter),
      keyOf: ({ id }) => [id],
    });
    const reasons = await this.noticeReasons.of(page.items);
    return { ...page, items: page.items.map((notice) => noticeView(notice, reasons.get(notice.id) ?? null)) };
  }

  unreadCount(caller: Caller): Promise<number> {
    return this.noticesRepository.count(caller.id, { unread: true });
  }

  async mark(id: string, isRead: boolean, caller: Caller): Promise<NoticeView> {
    const notice = await this.noticesRepository.mark(idOf(id, "notice"), caller.id, isRead);
    if (!notice) throw notFound("notice");
    const reasons = await this.noticeReasons.of([notice]);
    return noticeView(notice, reasons.get(notice.id) ?? null);
  }

  /** Marks some notices as read, or all; ids that name none of the caller's are ignored. @returns how many stay unread */
  async markMany(ids: readonly string[] | null, caller: Caller): Promise<number> {
    await this.noticesRepository.markMany(caller.id, ids?.map((id) => idOf(id, "notice")) ?? null);
    return this.unreadCount(caller);
  }
}
