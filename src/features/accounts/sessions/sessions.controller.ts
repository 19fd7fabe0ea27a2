import { Body, Controller, Delete, Get, Header, HttpCode, Param, Post, Query } from "@nestjs/common";
import { ApiCreatedResponse, ApiNoContentResponse, ApiOkResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import type { Caller } from "../../../platform/auth/account.js";
import { CurrentAccount, EvenSuspended, SessionOnly } from "../../../platform/auth/decorators.js";
import { type Client, FromClient } from "../../../platform/client/client.js";
import { Refuses } from "../../../platform/http/open-api/refuses.js";
import { AnswerHoldsSecret } from "../../../platform/idempotency/answer-holds-secret.js";
import { PageArgs, toList } from "../../../platform/paging/page.js";
import { CredentialsInput } from "../accounts.views.js";
import { SessionsService } from "./sessions.service.js";
import { OpenSessionList, SessionView } from "./sessions.views.js";

@ApiTags("accounts")
@Controller("v1/sessions")
export class SessionsController {
  constructor(private readonly sessionsService: SessionsService) {}

  @Post()
  @AnswerHoldsSecret()
  @Header("cache-control", "no-store")
  @Refuses("wrong-credentials")
  @ApiOperation({ summary: "Open a session" })
  @ApiCreatedResponse({ type: SessionView })
  open(@Body() input: CredentialsInput, @FromClient() client: Client): Promise<SessionView> {
    return this.sessionsService.open(input, client);
  }

  @Get()
  @SessionOnly()
  @ApiOperation({ summary: "Your open sessions, newest first" })
  @ApiOkResponse({ type: OpenSessionList })
  async list(@Query() args: PageArgs, @CurrentAccount() caller: Caller) {
    return toList(await this.sessionsService.list(args, caller));
  }

  @Delete(":id")
  @SessionOnly()
  @EvenSuspended()
  @HttpCode(204)
  @Header("cache-control", "no-store")
  @ApiOperation({ summary: "End one of your sessions" })
  @ApiNoContentResponse()
  end(@Param("id") id: string, @CurrentAccount() caller: Caller): Promise<void> {
    return this.sessionsService.end(id, caller);
  }
}
