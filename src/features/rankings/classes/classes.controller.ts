import { Controller, Get, Query } from "@nestjs/common";
import { ApiOkResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import { Conditional, type ConditionalRead } from "../../../platform/http/answers/conditional.js";
import { Refuses } from "../../../platform/http/open-api/refuses.js";
import { ReadsReplica } from "../../../platform/http/reads-replica.js";
import { toList } from "../../../platform/paging/page.js";
import { RankingsService } from "../rankings.service.js";
import { ClassesArgs, PackClassList } from "./classes.views.js";

@ApiTags("rankings")
@Controller("v1/classes")
export class ClassesController {
  constructor(private readonly rankingsService: RankingsService) {}

  @Get()
  @ReadsReplica()
  @Refuses("not-found")
  @ApiOperation({
    summary: "Classes of packs by chemistry and cells in series: how many packs, and the loads they are ranked at",
  })
  @ApiOkResponse({ type: PackClassList })
  list(@Query() args: ClassesArgs, @Conditional() conditional: ConditionalRead) {
    return conditional.keptUnlessCurrent(
      () => this.rankingsService.classesRevision(args),
      async () => toList(await this.rankingsService.classes(args)),
    );
  }
}
