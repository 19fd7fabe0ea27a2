import { Args, Context, Parent, ResolveField, Resolver } from "@nestjs/graphql";
import type { GuardedContext } from "../../platform/graphql/execution/guard-resolvers.js";
import { PageLoader } from "../../platform/graphql/page-loader.js";
import { type Connection, PageArgs, toConnection } from "../../platform/paging/page.js";
import { PackView } from "../packs/packs.views.js";
import { PackSpecimensRepository, type SpecimenRow } from "./pack-specimens.repository.js";
import { SpecimenConnection, type SpecimenView } from "./specimens.views.js";

const PACKS_AT_ONCE = 100;

/** The single packs of a product that the public record knows. */
@Resolver(() => PackView)
export class PackSpecimensResolver {
  constructor(private readonly packSpecimensRepository: PackSpecimensRepository) {}

  private readonly pages = new PageLoader<SpecimenRow>(PACKS_AT_ONCE, {
    read: (ids, _, window) => this.packSpecimensRepository.windows(ids, window),
    count: (ids) => this.packSpecimensRepository.counts(ids),
  });

  @ResolveField(() => SpecimenConnection, {
    nullable: true,
    description: "Single packs of this product with an accepted test, in the order in which they were registered",
  })
  async specimens(
    @Parent() { id }: PackView,
    @Args() args: PageArgs,
    @Context() operation: GuardedContext,
  ): Promise<Connection<SpecimenView>> {
    const list = { name: "specimens-of-pack", filters: { packId: id }, keys: ["uuid"] } as const;
    const asked = { parentId: id, filter: null, args };
    return toConnection(await this.pages.page(operation, asked, { ...list, keyOf: (specimen) => [specimen.id] }));
  }
}
