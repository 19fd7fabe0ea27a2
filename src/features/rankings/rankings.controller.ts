import { Controller, Get, Param, Query } from "@nestjs/common";
import { ApiOkResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import { toList } from "../../platform/paging/page.js";
import { PackStandingView } from "./pack-standing.views.js";
import { RankingsService } from "./rankings.service.js";
import { RankingArgs, StandingArgs, StandingList } from "./rankings.views.js";

@ApiTags("rankings")
@Controller("v1/rankings")
export class RankingsController {
  constructor(private readonly rankingsService: RankingsService) {}

  @Get(":figure")
  @ApiOperation({ summary: "Packs of a class by a figure, best first; not a licence to use a pack at its limits" })
  @ApiOkResponse({ type: StandingList })
  async rank(@Param("figure") figure: string, @Query() args: RankingArgs) {
    return toList(await this.rankingsService.rank(figure, args));
  }

  @Get(":figure/packs/:packId")
  @ApiOperation({
    summary: "What stands behind a pack's value in a ranking: consensus, and how well its testers agree",
  })
  @ApiOkResponse({ type: PackStandingView })
  standing(
    @Param("figure") figure: string,
    @Param("packId") packId: string,
    @Query() { protocol }: StandingArgs,
  ): Promise<PackStandingView> {
    return this.rankingsService.standing(figure, packId, protocol);
  }
}
