import { Controller, Get, Param, Query } from "@nestjs/common";
import { ApiOkResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import { Conditional, type ConditionalRead } from "../../platform/http/answers/conditional.js";
import { ReadsReplica } from "../../platform/http/reads-replica.js";
import { toList } from "../../platform/paging/page.js";
import { FollowsMerges } from "../packs/packs.module.js";
import { PackPlaceList, PackStandingsArgs } from "./pack-places.views.js";
import { RankingsService } from "./rankings.service.js";

@ApiTags("packs")
@Controller("v1/packs")
export class PackPlacesController {
  constructor(private readonly rankingsService: RankingsService) {}

  @Get(":id/standings")
  @ReadsReplica()
  @FollowsMerges()
  @ApiOperation({
    operationId: "listPackStandings",
    summary: "A pack's place in every ranking of its class, by protocol, figure and load",
  })
  @ApiOkResponse({ type: PackPlaceList })
  list(@Param("id") packId: string, @Query() args: PackStandingsArgs, @Conditional() conditional: ConditionalRead) {
    return conditional.keptUnlessCurrent(
      () => this.rankingsService.revision(args),
      async () => toList(await this.rankingsService.ofPack(packId, args)),
    );
  }
}
