import { Controller, Get, Param, Query } from "@nestjs/common";
import { ApiOkResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import type { Caller } from "../../platform/auth/account.js";
import { CurrentAccount } from "../../platform/auth/decorators.js";
import { Conditional, type ConditionalRead } from "../../platform/http/answers/conditional.js";
import { Refuses } from "../../platform/http/open-api/refuses.js";
import { ReadsReplica } from "../../platform/http/reads-replica.js";
import { FollowsMerges } from "../packs/packs.module.js";
import { PacksService } from "../packs/packs.service.js";
import { runList } from "./run-list.js";
import { PackRunsQuery, RunList } from "./run-list.views.js";
import { RunsService } from "./runs.service.js";

@ApiTags("packs")
@Controller("v1/packs")
export class PackRunsController {
  constructor(
    private readonly runsService: RunsService,
    private readonly packsService: PacksService,
  ) {}

  @Get(":id/runs")
  @ReadsReplica()
  @FollowsMerges()
  @Refuses("session-required")
  @ApiOperation({ summary: "Runs of a pack, as in the list of runs; newest first" })
  @ApiOkResponse({ type: RunList })
  async list(
    @Param("id") packId: string,
    @Query() query: PackRunsQuery,
    @CurrentAccount() caller: Caller | null,
    @Conditional() conditional: ConditionalRead,
  ) {
    await this.packsService.get(packId);
    return runList(this.runsService, { ...query, packId }, caller, conditional);
  }
}
