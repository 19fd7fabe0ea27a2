import { Body, Controller, Get, Put, Query } from "@nestjs/common";
import { ApiOkResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import type { Caller } from "../../platform/auth/account.js";
import { CurrentAccount, Roles } from "../../platform/auth/decorators.js";
import { Refuses } from "../../platform/http/open-api/refuses.js";
import { PageArgs, toList } from "../../platform/paging/page.js";
import { AutoAcceptService } from "./auto-accept.service.js";
import {
  AutoAcceptPolicyInput,
  AutoAcceptPolicyVersionList,
  AutoAcceptPolicyView,
} from "./auto-accept-policy.views.js";

@ApiTags("reviews")
@Controller("v1/auto-accept-policy")
export class AutoAcceptController {
  constructor(private readonly autoAcceptService: AutoAcceptService) {}

  @Get()
  @Roles("moderator")
  @Refuses("role-required")
  @ApiOperation({
    operationId: "getAutoAcceptPolicy",
    summary: "The rule by which runs are accepted without a moderator; off until it is set",
  })
  @ApiOkResponse({ type: AutoAcceptPolicyView })
  rule(): Promise<AutoAcceptPolicyView> {
    return this.autoAcceptService.rule();
  }

  @Get("versions")
  @Roles("moderator")
  @Refuses("role-required")
  @ApiOperation({
    operationId: "listAutoAcceptPolicyVersions",
    summary: "By which rule runs were accepted without a moderator, with why, by version; the newest first",
  })
  @ApiOkResponse({ type: AutoAcceptPolicyVersionList })
  async versions(@Query() args: PageArgs) {
    return toList(await this.autoAcceptService.versions(args));
  }

  @Put()
  @Roles("administrator")
  @Refuses("role-required")
  @ApiOperation({
    operationId: "setAutoAcceptPolicy",
    summary: "Set the rule; every version is kept, and runs that wait are looked at by the new one",
  })
  @ApiOkResponse({ type: AutoAcceptPolicyView })
  set(@Body() input: AutoAcceptPolicyInput, @CurrentAccount() caller: Caller): Promise<AutoAcceptPolicyView> {
    return this.autoAcceptService.set(input, caller);
  }
}
