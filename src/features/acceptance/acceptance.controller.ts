import { Body, Controller, Get, Put } from "@nestjs/common";
import { ApiOkResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import type { Caller } from "../../platform/auth/account.js";
import { CurrentAccount, Roles } from "../../platform/auth/decorators.js";
import { AcceptanceService } from "./acceptance.service.js";
import { AcceptanceRuleInput, AcceptanceRuleView } from "./acceptance-rule.views.js";

@ApiTags("reviews")
@Controller("v1/acceptance-rule")
export class AcceptanceController {
  constructor(private readonly acceptance: AcceptanceService) {}

  @Get()
  @Roles("moderator")
  @ApiOperation({ summary: "The rule by which runs are accepted without a moderator; off until it is set" })
  @ApiOkResponse({ type: AcceptanceRuleView })
  rule(): Promise<AcceptanceRuleView> {
    return this.acceptance.rule();
  }

  @Put()
  @Roles("administrator")
  @ApiOperation({ summary: "Set the rule; every version is kept, and runs that wait are looked at by the new one" })
  @ApiOkResponse({ type: AcceptanceRuleView })
  set(@Body() input: AcceptanceRuleInput, @CurrentAccount() caller: Caller): Promise<AcceptanceRuleView> {
    return this.acceptance.set(input, caller);
  }
}
