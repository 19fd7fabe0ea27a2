import { Body, Controller, Get, Param, Post, Query } from "@nestjs/common";
import { ApiCreatedResponse, ApiOkResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import type { Caller } from "../../platform/auth/account.js";
import { CurrentAccount, Roles } from "../../platform/auth/decorators.js";
import { Refuses } from "../../platform/http/open-api/refuses.js";
import { toList } from "../../platform/paging/page.js";
import { SealedRoundsService } from "./sealed-rounds.service.js";
import { SealedRoundInput, SealedRoundList, SealedRoundsArgs, SealedRoundView } from "./sealed-rounds.views.js";

@ApiTags("packs")
@Controller("v1")
export class SealedRoundsController {
  constructor(private readonly sealedRoundsService: SealedRoundsService) {}

  @Get("sealed-rounds")
  @ApiOperation({
    operationId: "listSealedRounds",
    summary: "Rounds in which new packs are measured unseen, newest first",
  })
  @ApiOkResponse({ type: SealedRoundList })
  async list(@Query() args: SealedRoundsArgs): Promise<InstanceType<typeof SealedRoundList>> {
    return toList(await this.sealedRoundsService.list(args));
  }

  @Post("packs/:id/sealed-round")
  @Roles("moderator")
  @Refuses("role-required", "already-exists", "decision-not-possible")
  @ApiOperation({
    operationId: "openSealedRound",
    summary: "Let a new pack be measured unseen: none of its runs is accepted before the round closes",
  })
  @ApiCreatedResponse({ type: SealedRoundView })
  open(
    @Param("id") id: string,
    @Body() input: SealedRoundInput,
    @CurrentAccount() caller: Caller,
  ): Promise<SealedRoundView> {
    return this.sealedRoundsService.open(id, input, caller);
  }
}
