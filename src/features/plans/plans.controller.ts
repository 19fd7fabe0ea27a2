import { Controller, Get, Query } from "@nestjs/common";
import { ApiOkResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import type { Caller } from "../../platform/auth/account.js";
import { CurrentAccount } from "../../platform/auth/decorators.js";
import { Refuses } from "../../platform/http/open-api/refuses.js";
import { PlansService } from "./plans.service.js";
import { PlanArgs, PlanView } from "./plans.views.js";

@ApiTags("plans")
@Controller("v1/plans")
export class PlansController {
  constructor(private readonly plansService: PlansService) {}

  @Get()
  @Refuses("unknown-reference", "not-found", "no-accepted-step")
  @ApiOperation({
    operationId: "getPlan",
    summary: "A test of one pack, planned: load, cutoff, logging, rest, what to expect, and a checklist",
    description:
      "The pack is a registered one (`packId`), the specimen of a ladder that goes on (`specimenId`), or described by `chemistry`, `series` and `ratedCapacityMah`. No load beyond the maker's continuous current is planned. Nothing is stored.",
  })
  @ApiOkResponse({ type: PlanView })
  get(@Query() args: PlanArgs, @CurrentAccount() caller: Caller | null): Promise<PlanView> {
    return this.plansService.plan(args, caller);
  }
}
