import { Body, Controller, Get, Param, Post, Query } from "@nestjs/common";
import { ApiCreatedResponse, ApiOkResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import type { Caller } from "../../platform/auth/account.js";
import { CurrentAccount, Roles } from "../../platform/auth/decorators.js";
import { toList } from "../../platform/paging/page.js";
import { RunList } from "../runs/runs.views.js";
import { ReviewsService } from "./reviews.service.js";
import { ReviewInput, ReviewsArgs, ReviewView } from "./reviews.views.js";

@ApiTags("reviews")
@Controller("v1")
export class ReviewsController {
  constructor(private readonly reviews: ReviewsService) {}

  @Get("reviews")
  @Roles("moderator")
  @ApiOperation({ summary: "Runs of others in a review state, oldest first" })
  @ApiOkResponse({ type: RunList })
  async queue(@Query() args: ReviewsArgs, @CurrentAccount() caller: Caller) {
    return toList(await this.reviews.queue(args, caller));
  }

  @Post("runs/:id/reviews")
  @Roles("moderator")
  @ApiOperation({ summary: "Decide on a run of another tester" })
  @ApiCreatedResponse({ type: ReviewView })
  decide(@Param("id") id: string, @Body() input: ReviewInput, @CurrentAccount() caller: Caller): Promise<ReviewView> {
    return this.reviews.decide(id, input, caller);
  }
}
