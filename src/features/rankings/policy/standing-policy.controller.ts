import { Body, Controller, Get, Put, Query } from "@nestjs/common";
import { ApiOkResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import type { Caller } from "../../../platform/auth/account.js";
import { CurrentAccount, Roles } from "../../../platform/auth/decorators.js";
import { Refuses } from "../../../platform/http/open-api/refuses.js";
import { PageArgs, toList } from "../../../platform/paging/page.js";
import { StandingPolicyService } from "./standing-policy.service.js";
import { StandingPolicyInput, StandingPolicyVersionList, StandingPolicyView } from "./standing-policy.views.js";

@ApiTags("rankings")
@Controller("v1/standing-policy")
export class StandingPolicyController {
  constructor(private readonly standingPolicyService: StandingPolicyService) {}

  @Get()
  @ApiOperation({
    operationId: "getStandingPolicy",
    summary: "How many testers with a record make a standing established",
  })
  @ApiOkResponse({ type: StandingPolicyView })
  policy(): Promise<StandingPolicyView> {
    return this.standingPolicyService.policy();
  }

  @Get("versions")
  @Roles("moderator")
  @Refuses("role-required")
  @ApiOperation({
    operationId: "listStandingPolicyVersions",
    summary: "What made a standing established, with why, by version; the newest first",
  })
  @ApiOkResponse({ type: StandingPolicyVersionList })
  async versions(@Query() args: PageArgs) {
    return toList(await this.standingPolicyService.versions(args));
  }

  @Put()
  @Roles("administrator")
  @Refuses("role-required")
  @ApiOperation({
    operationId: "setStandingPolicy",
    summary: "Set what makes a standing established; every version is kept, and all standings follow",
  })
  @ApiOkResponse({ type: StandingPolicyView })
  set(@Body() input: StandingPolicyInput, @CurrentAccount() caller: Caller): Promise<StandingPolicyView> {
    return this.standingPolicyService.set(input, caller);
  }
}
