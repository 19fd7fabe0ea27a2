import { Injectable, type OnModuleDestroy } from "@nestjs/common";
import type { Caller } from "../../platform/auth/account.js";
import { OpenStreams } from "../../platform/auth/open-streams.js";
import { isDatabaseUnavailable } from "../../platform/database/errors.js";
import { isUuid } from "../../platform/database/rows/uuid.js";
import { LatestValue } from "../../platform/notifications/latest-value.js";
import { Notifications } from "../../platform/notifications/notifications.js";
import { Problem } from "../../platform/problems/problem.js";
import { NoticeReasons } from "./notice-reasons.service.js";
import { noticeView } from "./notice-view.js";
import { noticesOf } from "./notice-writer.service.js";
import { NoticesRepository } from "./notices.repository.js";
import type { NoticeEventView } from "./notices.views.js";

/** Most listeners of one process at a time, and of them those of one account. */
const MAX_LISTENERS = 512;
const MAX_OF_ACCOUNT = 8;
/** How long nothing may happen until a sign of life is sent and the record is looked at again, ms. */
const QUIET_MS = 15_000;
/** Notices that are looked at when something is announced: those before them are in the list. */
const MAX_NEWS = 100;
const MAX_SECONDS = 3_600;

/** Notices as they come; null is a sign of life. */
export type NoticeEvents = AsyncGenerator<NoticeEventView | null, void, undefined>;

export interface FollowOptions {
  /** The notice after which those that are there already are told too. */
  readonly afterId?: string | null;
  readonly seconds?: number | null;
}

/** Tells an account's listeners of its new notices, whichever process writes them. */
@Injectable()
export class NoticeEventsService implements OnModuleDestroy {
  private readonly listeners = new Map<AbortController, string>();

  constructor(
    private readonly noticesRepository: NoticesRepository,
    private readonly noticeReasons: NoticeReasons,
    private readonly notifications: Notifications,
    private readonly openStreams: OpenStreams,
  ) {}

  /**
   * The count of unread notices first, then each new notice, until the time is up, `left` is signalled, or the session or key has
   * ended.
   *
   * @throws Problem `too-many-listeners`
   */
  follow(caller: Caller, left: AbortSignal, { afterId = null, seconds }: FollowOptions = {}): NoticeEvents {
    const own = [...this.listeners.values()].filter((id) => id === caller.id).length;
    if (this.listeners.size >= MAX_LISTENERS || own >= MAX_OF_ACCOUNT) {
      throw new Problem("too-many-listeners", `At most ${MAX_OF_ACCOUNT} of an account can listen. Read the list.`);
    }
    const closing = new AbortController();
    this.listeners.set(closing, caller.id);
    // A listener that leaves before the first event would never come to the end of the generator.
    const either = AbortSignal.any([left, closing.signal]);
    either.addEventListener("abort", () => this.listeners.delete(closing), { once: true });
    const until = Date.now() + (seconds ?? MAX_SECONDS) * 1_000;
    const window = { until, afterId: afterId && isUuid(afterId) ? afterId : null };
    const open = (signal: AbortSignal) => this.events(caller.id, closing, signal, window);
    return this.openStreams.follow({ caller, left: either, open });
  }

  /** Listeners are sent away, so that their connections do not hold up the end of the service. */
  onModuleDestroy(): void {
    for (const listener of [...this.listeners.keys()]) listener.abort();
  }

  private async *events(
    accountId: string,
    closing: AbortController,
    signal: AbortSignal,
    { until, afterId }: { until: number; afterId: string | null },
  ): NoticeEvents {
    const heard = new LatestValue<unknown>();
    let stop = () => {};
    try {
      stop = await this.notifications.listen(noticesOf(accountId), (message) => heard.put(message));
      const known = await this.noticesRepository.newest(accountId, null, MAX_NEWS);
      const seen = new Set(known.filter(({ id }) => afterId === null || id <= afterId).map(({ id }) => id));
      const began = afterId ?? known[0]?.id ?? null;
      yield { unreadCount: await this.noticesRepository.count(accountId, { unread: true }), notice: null };
      for (;;) {
        yield* this.unseen(accountId, began, seen);
        const leftMs = until - Date.now();
        if (signal.aborted || leftMs <= 0) return;
        const news = await heard.take(Math.min(leftMs, QUIET_MS), signal);
        if (signal.aborted) return;
        if (!news && Date.now() < until) yield null;
      }
    } finally {
      stop();
      closing.abort();
    }
  }

  /**
   * Those of the newest notices that were not told yet. Two that are written at once may be committed in another order than
   * their ids have: what was told is remembered one by one.
   */
  private async *unseen(accountId: string, began: string | null, seen: Set<string>): NoticeEvents {
    try {
      const fresh = (await this.noticesRepository.newest(accountId, began, MAX_NEWS)).filter(({ id }) => !seen.has(id));
      const unreadCount = fresh.length > 0 ? await this.noticesRepository.count(accountId, { unread: true }) : 0;
      const reasons = await this.noticeReasons.of(fresh);
      for (const notice of fresh) {
        seen.add(notice.id);
        yield { unreadCount, notice: noticeView(notice, reasons.get(notice.id) ?? null) };
      }
    } catch (error) {
      if (!isDatabaseUnavailable(error)) throw error;
    }
  }
}
