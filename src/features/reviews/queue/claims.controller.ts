import { Body, Controller, Delete, Header, HttpCode, Param, Post, Put, Req } from "@nestjs/common";
import { ApiNoContentResponse, ApiOkResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import type { FastifyRequest } from "fastify";
import type { Caller } from "../../../platform/auth/account.js";
import { CurrentAccount, Roles } from "../../../platform/auth/decorators.js";
import { Refuses } from "../../../platform/http/open-api/refuses.js";
import { ClaimsService } from "./claims.service.js";
import { ClaimOutcomesView, ClaimView, ManyClaimsInput } from "./claims.views.js";

@ApiTags("reviews")
@Controller("v1/reviews")
@Roles("moderator")
export class ClaimsController {
  constructor(private readonly claimsService: ClaimsService) {}

  @Post("claims")
  @HttpCode(200)
  @Refuses("role-required")
  @ApiOperation({ operationId: "claimRuns", summary: "Claim several runs; each is claimed or refused separately" })
  @ApiOkResponse({ type: ClaimOutcomesView })
  async claimMany(
    @Body() { runIds }: ManyClaimsInput,
    @CurrentAccount() caller: Caller,
    @Req() request: FastifyRequest,
  ): Promise<ClaimOutcomesView> {
    return { items: await this.claimsService.claimMany(runIds, caller, request.id) };
  }

  @Delete("claims")
  @HttpCode(204)
  @Header("cache-control", "no-store")
  @Refuses("role-required")
  @ApiOperation({ operationId: "releaseRuns", summary: "Release every run that you have claimed" })
  @ApiNoContentResponse()
  releaseAll(@CurrentAccount() caller: Caller): Promise<void> {
    return this.claimsService.releaseAll(caller);
  }

  @Put(":runId/claim")
  @Refuses("role-required", "claimed-by-another", "claim-used-up", "limit-reached")
  @ApiOperation({
    operationId: "claimRun",
    summary: "Take a run for half an hour, or up to an hour when renewed; others leave it alone",
  })
  @ApiOkResponse({ type: ClaimView })
  claim(@Param("runId") runId: string, @CurrentAccount() caller: Caller): Promise<ClaimView> {
    return this.claimsService.claim(runId, caller);
  }

  @Delete(":runId/claim")
  @HttpCode(204)
  @Header("cache-control", "no-store")
  @Refuses("role-required")
  @ApiOperation({ operationId: "releaseRun", summary: "Leave a run to others again" })
  @ApiNoContentResponse()
  release(@Param("runId") runId: string, @CurrentAccount() caller: Caller): Promise<void> {
    return this.claimsService.release(runId, caller);
  }
}
