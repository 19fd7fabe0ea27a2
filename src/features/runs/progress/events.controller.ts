import { Readable } from "node:stream";
import { Controller, Get, Headers, Param, Res } from "@nestjs/common";
import {
  ApiExtraModels,
  ApiHeader,
  ApiNoContentResponse,
  ApiOkResponse,
  ApiOperation,
  ApiTags,
  getSchemaPath,
} from "@nestjs/swagger";
import type { FastifyReply } from "fastify";
import type { Caller } from "../../../platform/auth/account.js";
import { CurrentAccount } from "../../../platform/auth/decorators.js";
import { asServerSentEvents } from "../../../platform/http/answers/server-sent-events.js";
import { Refuses } from "../../../platform/http/open-api/refuses.js";
import { Gives } from "../../../platform/http/requests/accept.guard.js";
import { EventsService } from "./events.service.js";
import { RunProgressView } from "./progress.views.js";

@ApiTags("runs")
@ApiExtraModels(RunProgressView)
@Controller("v1/runs")
export class EventsController {
  constructor(private readonly eventsService: EventsService) {}

  @Get(":id/events")
  @Refuses("too-many-listeners")
  @ApiOperation({
    operationId: "followRun",
    summary: "How far the evaluation has come, as server-sent events",
    description:
      "The present state first; the stream ends after `processed` or `failed`. A client that connects again with `Last-Event-ID` after that is answered 204, so that it stops.",
  })
  @Gives("text/event-stream")
  @ApiHeader({
    name: "Last-Event-ID",
    required: false,
    description: "Id of the last event seen; browsers send it",
    schema: { type: "string" },
  })
  @ApiNoContentResponse({ description: "The evaluation is over, and its end was told" })
  @ApiOkResponse({ content: { "text/event-stream": { schema: { $ref: getSchemaPath(RunProgressView) } } } })
  async events(
    @Param("id") id: string,
    @CurrentAccount() caller: Caller | null,
    @Headers("last-event-id") lastEventId: string | undefined,
    @Res() reply: FastifyReply,
  ): Promise<void> {
    if (lastEventId !== undefined && (await this.eventsService.hasSeenEnd(id, caller, lastEventId))) {
      await reply.status(204).header("cache-control", "no-store").send();
      return;
    }
    const left = new AbortController();
    reply.raw.once("close", () => left.abort());
    const events = await this.eventsService.follow(id, caller, left.signal);
    await reply
      .header("content-type", "text/event-stream; charset=utf-8")
      .header("cache-control", "no-store")
      // Else the connection would be kept for another request, and hold up the end of the service.
      .header("connection", "close")
      .send(Readable.from(asServerSentEvents(events, ({ stage }) => stage)));
  }
}
