import { Body, Controller, Get, Header, HttpCode, Post, Query } from "@nestjs/common";
import { ApiOkResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import type { Caller } from "../../../platform/auth/account.js";
import { CurrentAccount, Roles } from "../../../platform/auth/decorators.js";
import { Refuses } from "../../../platform/http/open-api/refuses.js";
import { toList } from "../../../platform/paging/page.js";
import { StandingReviewsService } from "./standing-reviews.service.js";
import {
  DisputeInput,
  HeldResultsInput,
  StandingReviewList,
  StandingReviewsArgs,
  StandingReviewView,
} from "./standing-reviews.views.js";

@ApiTags("reviews")
@Controller("v1/standing-reviews")
export class StandingReviewsController {
  constructor(private readonly standingReviewsService: StandingReviewsService) {}

  @Get()
  @Roles("moderator")
  @Header("cache-control", "no-store")
  @Refuses("role-required")
  @ApiOperation({
    operationId: "listStandingReviews",
    summary: "Packs with disputed standings or held results, which wait for a moderator",
  })
  @ApiOkResponse({ type: StandingReviewList })
  async list(@Query() args: StandingReviewsArgs): Promise<InstanceType<typeof StandingReviewList>> {
    return toList(await this.standingReviewsService.list(args));
  }

  @Post("disputes")
  @Roles("moderator")
  @HttpCode(200)
  @Refuses("role-required", "not-found", "decision-not-possible")
  @ApiOperation({ operationId: "decideDisputes", summary: "Decide on the disputed standings of a pack" })
  @ApiOkResponse({ type: StandingReviewView })
  disputes(@Body() input: DisputeInput, @CurrentAccount() caller: Caller): Promise<StandingReviewView> {
    return this.standingReviewsService.decideDisputes(input, caller);
  }

  @Post("held-results")
  @Roles("moderator")
  @HttpCode(200)
  @Refuses("role-required", "not-found", "decision-not-possible")
  @ApiOperation({ operationId: "decideHeldResults", summary: "Decide on a tester's held results of a pack" })
  @ApiOkResponse({ type: StandingReviewView })
  heldResults(@Body() input: HeldResultsInput, @CurrentAccount() caller: Caller): Promise<StandingReviewView> {
    return this.standingReviewsService.decideHeldResults(input, caller);
  }
}
