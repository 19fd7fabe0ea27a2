import { Body, Controller, Get, Param, Post, Query, Res } from "@nestjs/common";
import { ApiCreatedResponse, ApiOkResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import type { FastifyReply } from "fastify";
import type { Caller } from "../../platform/auth/account.js";
import { Authenticated, CurrentAccount } from "../../platform/auth/decorators.js";
import { Conditional, type ConditionalRead } from "../../platform/http/answers/conditional.js";
import { headersOf } from "../../platform/http/open-api/headers.js";
import { Refuses } from "../../platform/http/open-api/refuses.js";
import { ReadsReplica } from "../../platform/http/reads-replica.js";
import { toList } from "../../platform/paging/page.js";
import { FollowsMerges } from "./follows-merges.js";
import { PacksService } from "./packs.service.js";
import { PackInput, PackList, PacksArgs, PackView } from "./packs.views.js";

@ApiTags("packs")
@Controller("v1/packs")
export class PacksController {
  constructor(private readonly packsService: PacksService) {}

  @Get()
  @ReadsReplica()
  @ApiOperation({ summary: "Packs of the record" })
  @ApiOkResponse({ type: PackList })
  list(@Query() args: PacksArgs, @Conditional() conditional: ConditionalRead) {
    return conditional.unlessCurrent(
      () => this.packsService.revision(),
      async () => toList(await this.packsService.list(args)),
    );
  }

  @Post()
  @Authenticated()
  @Refuses("already-exists", "similar-pack")
  @ApiOperation({ summary: "Register a pack" })
  @ApiCreatedResponse({ headers: headersOf("Location"), type: PackView })
  async register(
    @Body() input: PackInput,
    @CurrentAccount() caller: Caller,
    @Res({ passthrough: true }) reply: FastifyReply,
  ): Promise<PackView> {
    const pack = await this.packsService.register(input, caller);
    reply.header("location", `/v1/packs/${pack.id}`);
    return pack;
  }

  @Get(":id")
  @ReadsReplica()
  @FollowsMerges()
  @ApiOperation({ summary: "A pack; one that was merged leads to the one that it was merged into" })
  @ApiOkResponse({ type: PackView })
  get(@Param("id") id: string, @CurrentAccount() caller: Caller | null): Promise<PackView> {
    return this.packsService.get(id, caller);
  }
}
