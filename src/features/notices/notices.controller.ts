import { Readable } from "node:stream";
import { Body, Controller, Get, Header, Headers, HttpCode, Param, Patch, Post, Query, Res } from "@nestjs/common";
import { ApiExtraModels, ApiHeader, ApiOkResponse, ApiOperation, ApiTags, getSchemaPath } from "@nestjs/swagger";
import type { FastifyReply } from "fastify";
import type { Caller } from "../../platform/auth/account.js";
import { Authenticated, CurrentAccount } from "../../platform/auth/decorators.js";
import { asServerSentEvents } from "../../platform/http/answers/server-sent-events.js";
import { Refuses } from "../../platform/http/open-api/refuses.js";
import { Gives } from "../../platform/http/requests/accept.guard.js";
import { toList } from "../../platform/paging/page.js";
import { NoticeEventsService } from "./notice-events.service.js";
import { NoticesService } from "./notices.service.js";
import {
  NoticeChangeInput,
  NoticeCountView,
  NoticeEventsQuery,
  NoticeEventView,
  NoticeList,
  NoticesArgs,
  NoticeView,
  ReadNoticesInput,
} from "./notices.views.js";

@ApiTags("notices")
@ApiExtraModels(NoticeEventView)
@Controller("v1/notices")
export class NoticesController {
  constructor(
    private readonly noticesService: NoticesService,
    private readonly noticeEventsService: NoticeEventsService,
  ) {}

  @Get()
  @Authenticated()
  @ApiOperation({ summary: "What you are told, newest first, with the number of unread notices" })
  @ApiOkResponse({ type: NoticeList })
  async list(@Query() args: NoticesArgs, @CurrentAccount() caller: Caller): Promise<NoticeList> {
    const page = await this.noticesService.list(args, caller);
    return { ...toList(page), unreadCount: await this.noticesService.unreadCount(caller) };
  }

  @Get("events")
  @Authenticated()
  @Refuses("too-many-listeners")
  @ApiOperation({
    operationId: "followNotices",
    summary: "New notices as they come, as server-sent events",
    description:
      "The number of unread notices first. A client that connects again with `Last-Event-ID` is told what came after that notice.",
  })
  @Gives("text/event-stream")
  @ApiHeader({
    name: "Last-Event-ID",
    required: false,
    description: "Id of the last notice seen; browsers send it",
    schema: { type: "string" },
  })
  @ApiOkResponse({ content: { "text/event-stream": { schema: { $ref: getSchemaPath(NoticeEventView) } } } })
  async events(
    @Query() { seconds }: NoticeEventsQuery,
    @CurrentAccount() caller: Caller,
    @Headers("last-event-id") lastEventId: string | undefined,
    @Res() reply: FastifyReply,
  ): Promise<void> {
    const left = new AbortController();
    reply.raw.once("close", () => left.abort());
    const options = { afterId: lastEventId ?? null, seconds: seconds ?? null };
    const events = this.noticeEventsService.follow(caller, left.signal, options);
    await reply
      .header("content-type", "text/event-stream; charset=utf-8")
      .header("cache-control", "no-store")
      // Else the connection would be kept for another request, and hold up the end of the service.
      .header("connection", "close")
      .send(Readable.from(asServerSentEvents(events, ({ notice }) => notice?.id ?? null)));
  }

  @Post("read")
  @Authenticated()
  @HttpCode(200)
  @Header("cache-control", "no-store")
  @Refuses("not-found")
  @ApiOperation({ operationId: "readNotices", summary: "Mark notices as read: those named, or all" })
  @ApiOkResponse({ type: NoticeCountView })
  async readMany(@Body() { ids }: ReadNoticesInput, @CurrentAccount() caller: Caller): Promise<NoticeCountView> {
    return { unreadCount: await this.noticesService.markMany(ids ?? null, caller) };
  }

  @Patch(":id")
  @Authenticated()
  @Header("cache-control", "no-store")
  @ApiOperation({ summary: "Mark a notice as read, or as unread" })
  @ApiOkResponse({ type: NoticeView })
  update(
    @Param("id") id: string,
    @Body() { read }: NoticeChangeInput,
    @CurrentAccount() caller: Caller,
  ): Promise<NoticeView> {
    return this.noticesService.mark(id, read, caller);
  }
}
