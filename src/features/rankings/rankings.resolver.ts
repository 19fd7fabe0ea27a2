import { Args, Query, Resolver } from "@nestjs/graphql";
import { type Connection, toConnection } from "../../platform/paging/page.js";
import { PackStandingView } from "./pack-standing.views.js";
import { RankingsService } from "./rankings.service.js";
import { FigureRankingArgs, PackStandingArgs, StandingConnection, StandingView } from "./rankings.views.js";

@Resolver(() => StandingView)
export class RankingsResolver {
  constructor(private readonly rankingsService: RankingsService) {}

  @Query(() => StandingConnection, {
    description: "Packs of a class by a figure, best first; not a licence to use a pack at its limits",
  })
  async ranking(@Args() args: FigureRankingArgs): Promise<Connection<StandingView>> {
    return toConnection(await this.rankingsService.rank(args.figure, args));
  }

  @Query(() => PackStandingView, {
    description: "What stands behind a pack's value in a ranking: consensus, and how well its testers agree",
  })
  packStanding(@Args() { figure, packId, protocol }: PackStandingArgs): Promise<PackStandingView> {
    return this.rankingsService.standing(figure, packId, protocol);
  }
}
