import { Args, ArgsType, ID, Query, Resolver } from "@nestjs/graphql";
import { Roles } from "../../platform/auth/decorators.js";
import { type Connection, PageArgs, toConnection } from "../../platform/paging/page.js";
import { IdField } from "../../platform/views/index.js";
import { PackConnection, type PackView } from "./packs.views.js";
import { RelatedPacksService } from "./related-packs.service.js";
import { SimilarPacksView } from "./related-packs.views.js";

@ArgsType()
class MergedPacksArgs extends PageArgs {
  @IdField({ description: "Which pack, by its id" })
  id: string;
}

@Resolver()
export class RelatedPacksResolver {
  constructor(private readonly relatedPacksService: RelatedPacksService) {}

  @Query(() => SimilarPacksView, {
    nullable: true,
    description: "Packs of the record that a pack may be, so that one is merged into the other",
  })
  @Roles("moderator")
  similarPacks(
    @Args("id", { type: () => ID, description: "Which one, by its id" }) id: string,
  ): Promise<SimilarPacksView> {
    return this.relatedPacksService.similar(id);
  }

  @Query(() => PackConnection, {
    nullable: true,
    description: "Packs that were merged into a pack, as they were registered; each merge can be undone",
  })
  @Roles("moderator")
  async mergedPacks(@Args() { id, ...args }: MergedPacksArgs): Promise<Connection<PackView>> {
    return toConnection(await this.relatedPacksService.merged(id, args));
  }
}
