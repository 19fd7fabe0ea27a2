import { Body, Controller, Get, Param, Patch, Post, Query, Res } from "@nestjs/common";
import { ApiCreatedResponse, ApiOkResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import type { FastifyReply } from "fastify";
import type { Caller } from "../../platform/auth/account.js";
import { Authenticated, CurrentAccount } from "../../platform/auth/decorators.js";
import { headersOf } from "../../platform/http/open-api/headers.js";
import { Refuses } from "../../platform/http/open-api/refuses.js";
import { PageArgs, toList } from "../../platform/paging/page.js";
import { BenchesService } from "./benches.service.js";
import { BenchCorrectionInput, BenchInput, BenchList, BenchView } from "./benches.views.js";

@ApiTags("benches")
@Controller("v1/benches")
@Authenticated()
export class BenchesController {
  constructor(private readonly benchesService: BenchesService) {}

  @Get()
  @ApiOperation({ summary: "Your benches" })
  @ApiOkResponse({ type: BenchList })
  async list(@Query() args: PageArgs, @CurrentAccount() caller: Caller) {
    return toList(await this.benchesService.listOwn(args, caller));
  }

  @Post()
  @Refuses("already-exists")
  @ApiOperation({ summary: "Register a bench" })
  @ApiCreatedResponse({ headers: headersOf("Location"), type: BenchView })
  async register(
    @Body() input: BenchInput,
    @CurrentAccount() caller: Caller,
    @Res({ passthrough: true }) reply: FastifyReply,
  ): Promise<BenchView> {
    const bench = await this.benchesService.register(input, caller);
    reply.header("location", `/v1/benches/${bench.id}`);
    return bench;
  }

  @Patch(":id")
  @Refuses("already-exists", "decision-not-possible")
  @ApiOperation({
    operationId: "correctBench",
    summary: "State your bench otherwise: a new version, when runs were measured on it, which keep theirs",
  })
  @ApiOkResponse({ type: BenchView })
  correct(
    @Param("id") id: string,
    @Body() input: BenchCorrectionInput,
    @CurrentAccount() caller: Caller,
  ): Promise<BenchView> {
    return this.benchesService.correct(id, input, caller);
  }

  @Get(":id")
  @ApiOperation({ summary: "Your bench" })
  @ApiOkResponse({ type: BenchView })
  get(@Param("id") id: string, @CurrentAccount() caller: Caller): Promise<BenchView> {
    return this.benchesService.getOwn(id, caller);
  }
}
