import { Controller, Get, Param } from "@nestjs/common";
import { ApiOkResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import type { Caller } from "../../platform/auth/account.js";
import { Authenticated, CurrentAccount } from "../../platform/auth/decorators.js";
import { CopiesService } from "./copies.service.js";
import { CopiesView } from "./copies.views.js";

@ApiTags("reviews")
@Controller("v1/runs")
export class CopiesController {
  constructor(private readonly copiesService: CopiesService) {}

  @Get(":id/copies")
  @Authenticated()
  @ApiOperation({
    summary: "Runs that look like one measurement with a run",
    description: "For those who review, and for the run's tester as far as the other run is public or theirs.",
  })
  @ApiOkResponse({ type: CopiesView })
  list(@Param("id") id: string, @CurrentAccount() caller: Caller): Promise<CopiesView> {
    return this.copiesService.list(id, caller);
  }
}
