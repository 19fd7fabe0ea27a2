import { Controller, Get, Param, Query } from "@nestjs/common";
import { ApiOkResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import type { Caller } from "../../platform/auth/account.js";
import { CurrentAccount } from "../../platform/auth/decorators.js";
import { Conditional, type ConditionalRead } from "../../platform/http/conditional.js";
import { Refuses } from "../../platform/http/open-api/refuses.js";
import { LaddersService } from "./ladders.service.js";
import { LadderArgs, LadderView } from "./ladders.views.js";

@ApiTags("ladders")
@Controller("v1/ladders")
export class LaddersController {
  constructor(private readonly laddersService: LaddersService) {}

  @Get(":specimenId")
  @Refuses("no-accepted-step")
  @ApiOperation({ summary: "The current that a specimen sustains, from its constant-current runs" })
  @ApiOkResponse({ type: LadderView })
  get(
    @Param("specimenId") specimenId: string,
    @Query() args: LadderArgs,
    @CurrentAccount() caller: Caller | null,
    @Conditional() conditional: ConditionalRead,
  ): Promise<LadderView | undefined> {
    return conditional.unlessCurrent(
      () => this.laddersService.revision(specimenId, caller),
      () => this.laddersService.get(specimenId, args, caller),
    );
  }
}
