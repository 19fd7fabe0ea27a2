import { Args, ID, Int, Mutation, Query, Resolver, Subscription } from "@nestjs/graphql";
import type { Caller } from "../../platform/auth/account.js";
import { Authenticated, CurrentAccount } from "../../platform/auth/decorators.js";
import { subscriptionOf } from "../../platform/graphql/sockets/subscription-of.js";
import { type Connection, toConnection } from "../../platform/paging/page.js";
import { NoticeEventsService } from "./notice-events.service.js";
import { NoticesService } from "./notices.service.js";
import {
  NoticeConnection,
  NoticeCountView,
  NoticeEventView,
  NoticesArgs,
  NoticeView,
  ReadNoticesInput,
} from "./notices.views.js";

@Resolver()
export class NoticesResolver {
  constructor(
    private readonly noticesService: NoticesService,
    private readonly noticeEventsService: NoticeEventsService,
  ) {}

  @Query(() => NoticeConnection, { nullable: true, description: "What you are told, newest first" })
  @Authenticated()
  async notices(@Args() args: NoticesArgs, @CurrentAccount() caller: Caller): Promise<Connection<NoticeView>> {
    return toConnection(await this.noticesService.list(args, caller));
  }

  @Query(() => Int, { nullable: true, description: "How many of your notices are unread" })
  @Authenticated()
  unreadNotices(@CurrentAccount() caller: Caller): Promise<number> {
    return this.noticesService.unreadCount(caller);
  }

  @Mutation(() => NoticeView, { nullable: true, description: "Mark a notice as read, or as unread" })
  @Authenticated()
  markNotice(
    @Args("id", { type: () => ID, description: "Which one, by its id" }) id: string,
    @Args("read", { type: () => Boolean, description: "Whether it counts as read" }) read: boolean,
    @CurrentAccount() caller: Caller,
  ): Promise<NoticeView> {
    return this.noticesService.mark(id, read, caller);
  }

  @Mutation(() => NoticeCountView, { nullable: true, description: "Mark notices as read: those named, or all" })
  @Authenticated()
  async readNotices(
    @Args("input", { description: "Those that were read, or none for all" }) { ids }: ReadNoticesInput,
    @CurrentAccount() caller: Caller,
  ): Promise<NoticeCountView> {
    return { unreadCount: await this.noticesService.markMany(ids ?? null, caller) };
  }

  @Subscription(() => NoticeEventView, {
    description:
      'Your new notices as they come; the number of unread ones first. The session goes into `connection_init` as `{authorization: "Bearer ..."}`',
    resolve: (event: NoticeEventView) => event,
  })
  @Authenticated()
  async noticeAdded(@CurrentAccount() caller: Caller): Promise<AsyncIterableIterator<NoticeEventView>> {
    const left = new AbortController();
    return subscriptionOf(this.noticeEventsService.follow(caller, left.signal), left);
  }
}
