import { Args, Context, Parent, ResolveField, Resolver } from "@nestjs/graphql";
import type { GuardedContext } from "../../platform/graphql/execution/guard-resolvers.js";
import { PageLoader } from "../../platform/graphql/page-loader.js";
import { type Connection, mapPage, toConnection } from "../../platform/paging/page.js";
import { PackView } from "../packs/packs.views.js";
import { PackPlaceConnection, type PackPlaceView, PackStandingsArgs } from "./pack-places.views.js";
import { placesOf, placeView } from "./place-view.js";
import { type PackPlaceRow, type PlacesFilter, PlacesRepository } from "./places.repository.js";

/** Each standing is counted against all of its class. */
const PACKS_AT_ONCE = 25;

/** Where a pack stands. */
@Resolver(() => PackView)
export class PackStandingsResolver {
  constructor(private readonly placesRepository: PlacesRepository) {}

  private readonly pages = new PageLoader<PackPlaceRow, PlacesFilter>(PACKS_AT_ONCE, {
    read: (ids, filter, window) => this.placesRepository.windows(ids, filter, window),
    count: (ids, filter) => this.placesRepository.counts(ids, filter),
  });

  @ResolveField(() => PackPlaceConnection, {
    nullable: true,
    description: "Its place in every ranking of its class, by protocol, figure and load",
  })
  async standings(
    @Parent() { id }: PackView,
    @Args() args: PackStandingsArgs,
    @Context() operation: GuardedContext,
  ): Promise<Connection<PackPlaceView>> {
    const { protocol = null, figure = null } = args;
    const filter = { protocol, figure };
    const page = await this.pages.page(operation, { parentId: id, filter, args }, placesOf(id, filter));
    return toConnection(mapPage(page, placeView));
  }
}
