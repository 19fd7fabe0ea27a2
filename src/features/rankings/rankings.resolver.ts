import { Args, Extensions, Query, Resolver } from "@nestjs/graphql";
import { READS_REPLICA, REVISED } from "../../platform/graphql/revised.js";
import { type Connection, toConnection } from "../../platform/paging/page.js";
import { ClassesArgs, PackClassConnection, type PackClassView } from "./classes/classes.views.js";
import { PackCyclesService } from "./cycles/pack-cycles.service.js";
import { PackCyclesView } from "./cycles/pack-cycles.views.js";
import { PackPlaceConnection, type PackPlaceView, StandingsOfPackArgs } from "./pack-places.views.js";
import { PackStandingView } from "./pack-standing.views.js";
import { type RankingFacts, rankingFacts } from "./ranking-facts.js";
import { FigureRankingArgs, PackStandingArgs } from "./rankings.args.js";
import { RankingsService } from "./rankings.service.js";
import { RankingConnection, StandingView } from "./rankings.views.js";

@Resolver(() => StandingView)
export class RankingsResolver {
  constructor(
    private readonly rankingsService: RankingsService,
    private readonly packCyclesService: PackCyclesService,
  ) {}

  @Extensions({ [READS_REPLICA]: true, [REVISED]: true })
  @Query(() => RankingConnection, {
    nullable: true,
    description: "Packs of a class by a figure, best first; not a licence to use a pack at its limits",
  })
  async ranking(@Args() args: FigureRankingArgs): Promise<Connection<StandingView> & RankingFacts> {
    const page = await this.rankingsService.rank(args.figure, args);
    return { ...rankingFacts(page), ...toConnection(page) };
  }

  @Extensions({ [READS_REPLICA]: true, [REVISED]: true })
  @Query(() => PackPlaceConnection, {
    nullable: true,
    description: "A pack's place in every ranking of its class, by protocol, figure and load",
  })
  async packStandings(@Args() { packId, ...args }: StandingsOfPackArgs): Promise<Connection<PackPlaceView>> {
    return toConnection(await this.rankingsService.ofPack(packId, args));
  }

  @Extensions({ [READS_REPLICA]: true })
  @Query(() => PackClassConnection, {
    nullable: true,
    description: "Classes of packs by chemistry and cells in series: how many packs, and the loads they are ranked at",
  })
  async classes(@Args() args: ClassesArgs): Promise<Connection<PackClassView>> {
    return toConnection(await this.rankingsService.classes(args));
  }

  @Extensions({ [READS_REPLICA]: true })
  @Query(() => PackStandingView, {
    nullable: true,
    description: "The results behind a pack's value in a ranking, and how well its testers agree",
  })
  packStanding(@Args() { figure, packId, ...args }: PackStandingArgs): Promise<PackStandingView> {
    return this.rankingsService.standing(figure, packId, args);
  }

  @Extensions({ [READS_REPLICA]: true })
  @Query(() => PackCyclesView, {
    nullable: true,
    description: "A figure of every accepted run of a pack, by the age of its specimen",
  })
  packCycles(@Args() { figure, packId, ...args }: PackStandingArgs): Promise<PackCyclesView> {
    return this.packCyclesService.get(figure, packId, args);
  }
}
