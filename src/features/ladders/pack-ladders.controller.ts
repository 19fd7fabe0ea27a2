import { Controller, Get, Param, Query } from "@nestjs/common";
import { ApiOkResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import { Conditional, type ConditionalRead } from "../../platform/http/answers/conditional.js";
import { ReadsReplica } from "../../platform/http/reads-replica.js";
import { PageArgs, toList } from "../../platform/paging/page.js";
import { FollowsMerges } from "../packs/packs.module.js";
import { LaddersService } from "./ladders.service.js";
import { LadderSummaryList } from "./ladders.views.js";

@ApiTags("packs")
@Controller("v1/packs")
export class PackLaddersController {
  constructor(private readonly laddersService: LaddersService) {}

  @Get(":id/ladders")
  @ReadsReplica()
  @FollowsMerges()
  @ApiOperation({ summary: "The ladders of a pack's specimens, from their accepted steps" })
  @ApiOkResponse({ type: LadderSummaryList })
  list(@Param("id") packId: string, @Query() args: PageArgs, @Conditional() conditional: ConditionalRead) {
    return conditional.keptUnlessCurrent(
      () => this.laddersService.revisionOfPack(packId),
      async () => toList(await this.laddersService.ofPack(packId, args)),
    );
  }
}
