import { Controller, Get, Param, Query } from "@nestjs/common";
import { ApiOkResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import { toList } from "../../platform/paging/page.js";
import { RankingsService } from "./rankings.service.js";
import { RankingArgs, StandingList } from "./rankings.views.js";

@ApiTags("rankings")
@Controller("v1/rankings")
export class RankingsController {
  constructor(private readonly rankings: RankingsService) {}

  @Get(":figure")
  @ApiOperation({ summary: "Packs of a class by a figure, best first; not a licence to use a pack at its limits" })
  @ApiOkResponse({ type: StandingList })
  async rank(@Param("figure") figure: string, @Query() args: RankingArgs) {
    return toList(await this.rankings.rank(figure, args));
  }
}
