import { Args, Query, Resolver } from "@nestjs/graphql";
import { type Connection, toConnection } from "../../platform/paging/page.js";
import { PackStandingView } from "./pack-standing.views.js";
import { RankingsService } from "./rankings.service.js";
import { FigureRankingArgs, PackStandingArgs, RankingConnection, StandingView } from "./rankings.views.js";

@Resolver(() => StandingView)
export class RankingsResolver {
  constructor(private readonly rankingsService: RankingsService) {}

  @Query(() => RankingConnection, {
    nullable: true,
    description: "Packs of a class by a figure, best first; not a licence to use a pack at its limits",
  })
  async ranking(
    @Args() args: FigureRankingArgs,
  ): Promise<Connection<StandingView> & Pick<RankingConnection, "load" | "loads">> {
    const page = await this.rankingsService.rank(args.figure, args);
    return { load: page.load, loads: [...page.loads], ...toConnection(page) };
  }

  @Query(() => PackStandingView, {
    nullable: true,
    description: "What stands behind a pack's value in a ranking: consensus, and how well its testers agree",
  })
  packStanding(@Args() { figure, packId, ...args }: PackStandingArgs): Promise<PackStandingView> {
    return this.rankingsService.standing(figure, packId, args);
  }
}
