import { Controller, Get, Param, Query } from "@nestjs/common";
import { ApiOkResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import { Roles } from "../../platform/auth/decorators.js";
import { Refuses } from "../../platform/http/open-api/refuses.js";
import { PageArgs, toList } from "../../platform/paging/page.js";
import { FollowsMerges } from "./follows-merges.js";
import { PackList } from "./packs.views.js";
import { RelatedPacksService } from "./related-packs.service.js";
import { SimilarPacksView } from "./related-packs.views.js";

@ApiTags("packs")
@Controller("v1/packs/:id")
export class RelatedPacksController {
  constructor(private readonly relatedPacksService: RelatedPacksService) {}

  @Get("similar")
  @Roles("moderator")
  @Refuses("role-required")
  @FollowsMerges()
  @ApiOperation({
    operationId: "listSimilarPacks",
    summary: "Packs of the record that a pack may be, so that one is merged into the other",
  })
  @ApiOkResponse({ type: SimilarPacksView })
  similar(@Param("id") id: string): Promise<SimilarPacksView> {
    return this.relatedPacksService.similar(id);
  }

  @Get("merged")
  @Roles("moderator")
  @Refuses("role-required")
  @FollowsMerges()
  @ApiOperation({
    operationId: "listMergedPacks",
    summary: "Packs that were merged into a pack, as they were registered; each merge can be undone",
  })
  @ApiOkResponse({ type: PackList })
  async merged(@Param("id") id: string, @Query() args: PageArgs) {
    return toList(await this.relatedPacksService.merged(id, args));
  }
}
