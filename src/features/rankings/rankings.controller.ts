import { Controller, Get, Param, Query } from "@nestjs/common";
import { ApiOkResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import { Conditional, type ConditionalRead } from "../../platform/http/conditional.js";
import { WrittenAnswers } from "../../platform/http/written-answers.js";
import { toList } from "../../platform/paging/page.js";
import { FollowsMerges } from "../packs/packs.module.js";
import { ofProtocol, type RankedVersionRow } from "../protocols/active-version.service.js";
import type { RankingPage } from "./orders/ranking-pages.service.js";
import { PackStandingView } from "./pack-standing.views.js";
import { rankingFacts } from "./ranking-facts.js";
import { RankingsService } from "./rankings.service.js";
import { RankingArgs, RankingList, StandingArgs } from "./rankings.views.js";

@ApiTags("rankings")
@Controller("v1/rankings")
export class RankingsController {
  private readonly writtenPages = new WrittenAnswers((page: RankingPage): RankingList => {
    return { ...rankingFacts(page), ...toList(page) };
  });

  constructor(private readonly rankingsService: RankingsService) {}

  @Get(":figure")
  @ApiOperation({
    operationId: "getRanking",
    summary: "Packs of a class by a figure, best first; not a licence to use a pack at its limits",
  })
  @ApiOkResponse({ type: RankingList })
  rank(
    @Param("figure") figure: string,
    @Query() args: RankingArgs,
    @Conditional() conditional: ConditionalRead,
  ): Promise<string | undefined> {
    let revisions: readonly RankedVersionRow[] = [];
    return conditional.unlessCurrent(
      async () => {
        revisions = await this.rankingsService.revisions();
        return ofProtocol(revisions, args.protocol);
      },
      async () => {
        const page = await this.rankingsService.rank(figure, args, revisions);
        return conditional.writtenJson(this.writtenPages.of(page));
      },
    );
  }

  @Get(":figure/packs/:packId")
  @FollowsMerges()
  @ApiOperation({
    operationId: "getStanding",
    summary: "The results behind a pack's value in a ranking, and how well its testers agree",
  })
  @ApiOkResponse({ type: PackStandingView })
  standing(
    @Param("figure") figure: string,
    @Param("packId") packId: string,
    @Query() args: StandingArgs,
    @Conditional() conditional: ConditionalRead,
  ): Promise<PackStandingView | undefined> {
    return conditional.unlessCurrent(
      () => this.rankingsService.standingRevision(packId, args),
      () => this.rankingsService.standing(figure, packId, args),
    );
  }
}
