import { Controller, Param, Query } from "@nestjs/common";
import { ApiOperation, ApiTags } from "@nestjs/swagger";
import { Conditional, type ConditionalRead } from "../../platform/http/answers/conditional.js";
import { WrittenAnswers } from "../../platform/http/answers/written-answers.js";
import { ReadsReplica } from "../../platform/http/reads-replica.js";
import { type AskedForm, GetInForms, InForm } from "../../platform/http/requests/forms.js";
import { toList } from "../../platform/paging/page.js";
import { Pictures } from "../../platform/pictures/pictures.js";
import { FollowsMerges } from "../packs/packs.module.js";
import { ofProtocol, type RankedVersionRow, revisionOf } from "../protocols/active-version.service.js";
import type { RankingPage } from "./orders/ranking-pages.service.js";
import { PackStandingView } from "./pack-standing.views.js";
import { rankingChart, rankingCsv, rankingMarkdown } from "./pictures/ranking-forms.js";
import { standingChart, standingCsv, standingMarkdown } from "./pictures/standing-forms.js";
import { rankingFacts } from "./ranking-facts.js";
import { RankingQuery, StandingQuery } from "./rankings.args.js";
import { RankingsService } from "./rankings.service.js";
import { RankingList } from "./rankings.views.js";

@ApiTags("rankings")
@Controller("v1/rankings")
export class RankingsController {
  private readonly writtenPages = new WrittenAnswers((page: RankingPage): RankingList => {
    return { ...rankingFacts(page), ...toList(page) };
  });

  constructor(
    private readonly rankingsService: RankingsService,
    private readonly pictures: Pictures,
  ) {}

  @GetInForms(":figure", RankingList)
  @ReadsReplica()
  @ApiOperation({
    operationId: "getRanking",
    summary: "Packs of a class by a figure, best first; not a licence to use a pack at its limits",
  })
  rank(
    @Param("figure") figure: string,
    @Query() { width, scale, ...args }: RankingQuery,
    @InForm() asked: AskedForm,
    @Conditional() conditional: ConditionalRead,
  ): Promise<string | Buffer | undefined> {
    let revisions: readonly RankedVersionRow[] = [];
    const page = () => this.rankingsService.rank(figure, args, revisions);
    return conditional.unlessCurrent(
      async () => {
        revisions = await this.rankingsService.revisions();
        if (asked.form === "json") conditional.isReadFrom(revisionOf(revisions));
        return [ofProtocol(revisions, args.protocol), asked.version];
      },
      () =>
        asked.answer(
          this.pictures,
          {
            json: async () => conditional.writtenJson(this.writtenPages.of(await page())),
            csv: async () => rankingCsv(figure, await page()),
            md: async ({ address }) => rankingMarkdown(figure, args, await page(), address),
            chart: async (source) => rankingChart(figure, args, await page(), source),
          },
          { width, scale },
        ),
    );
  }

  @GetInForms(":figure/packs/:packId", PackStandingView)
  @ReadsReplica()
  @FollowsMerges()
  @ApiOperation({
    operationId: "getStanding",
    summary: "The results behind a pack's value in a ranking, and how well its testers agree",
  })
  standing(
    @Param("figure") figure: string,
    @Param("packId") packId: string,
    @Query() { width, scale, ...args }: StandingQuery,
    @InForm() asked: AskedForm,
    @Conditional() conditional: ConditionalRead,
  ): Promise<PackStandingView | string | Buffer | undefined> {
    const standing = () => this.rankingsService.standing(figure, packId, args);
    return conditional.keptUnlessCurrent(
      async () => [await this.rankingsService.standingRevision(packId, args), asked.version],
      () =>
        asked.answer(
          this.pictures,
          {
            json: standing,
            csv: async () => standingCsv(await standing()),
            md: async ({ address }) => standingMarkdown(await standing(), address),
            chart: async (source) => standingChart(await standing(), source),
          },
          { width, scale },
        ),
    );
  }
}
