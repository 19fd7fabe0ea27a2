import { Body, Controller, Delete, Get, HttpCode, Param, Post, Query, Res } from "@nestjs/common";
import { ApiAcceptedResponse, ApiOkResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import type { FastifyReply } from "fastify";
import type { Caller } from "../../platform/auth/account.js";
import { CurrentAccount, Roles } from "../../platform/auth/decorators.js";
import { headersOf } from "../../platform/http/open-api/headers.js";
import { Refuses } from "../../platform/http/open-api/refuses.js";
import { PageArgs, toList } from "../../platform/paging/page.js";
import { ReevaluationsService } from "./reevaluations.service.js";
import { ReevaluationInput, ReevaluationList, ReevaluationView } from "./reevaluations.views.js";

@ApiTags("protocols")
@Controller("v1/reevaluations")
export class ReevaluationsController {
  constructor(private readonly reevaluationsService: ReevaluationsService) {}

  @Post()
  @Roles("administrator")
  @HttpCode(202)
  @Refuses("role-required", "already-exists", "unknown-reference", "decision-not-possible")
  @ApiOperation({
    summary: "Re-evaluate every run of a protocol, or report what that would change",
    description:
      "It goes on in the background. What the rankings count changes at once, when every run was evaluated; a dry run changes nothing.",
  })
  @ApiAcceptedResponse({ headers: headersOf("Location"), type: ReevaluationView })
  async start(
    @Body() input: ReevaluationInput,
    @CurrentAccount() caller: Caller,
    @Res({ passthrough: true }) reply: FastifyReply,
  ): Promise<ReevaluationView> {
    const started = await this.reevaluationsService.start(input, caller);
    reply.header("location", `/v1/reevaluations/${started.id}`);
    return started;
  }

  @Get()
  @Roles("administrator")
  @Refuses("role-required")
  @ApiOperation({ summary: "Re-evaluations, the newest first" })
  @ApiOkResponse({ type: ReevaluationList })
  async list(@Query() args: PageArgs) {
    return toList(await this.reevaluationsService.list(args));
  }

  @Get(":id")
  @Roles("administrator")
  @Refuses("role-required")
  @ApiOperation({ summary: "How far a re-evaluation has come, and what it changed or would change" })
  @ApiOkResponse({ type: ReevaluationView })
  get(@Param("id") id: string): Promise<ReevaluationView> {
    return this.reevaluationsService.get(id);
  }

  @Delete(":id")
  @Roles("administrator")
  @Refuses("role-required", "decision-not-possible")
  @ApiOperation({ summary: "Cancel a re-evaluation that is at work; nothing has changed by it" })
  @ApiOkResponse({ type: ReevaluationView })
  cancel(@Param("id") id: string, @CurrentAccount() caller: Caller): Promise<ReevaluationView> {
    return this.reevaluationsService.cancel(id, caller);
  }
}
