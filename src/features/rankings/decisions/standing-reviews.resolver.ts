import { Args, Mutation, Query, Resolver } from "@nestjs/graphql";
import type { Caller } from "../../../platform/auth/account.js";
import { CurrentAccount, Roles } from "../../../platform/auth/decorators.js";
import { type Connection, toConnection } from "../../../platform/paging/page.js";
import { StandingReviewsService } from "./standing-reviews.service.js";
import {
  DisputeInput,
  HeldResultsInput,
  StandingReviewConnection,
  StandingReviewsArgs,
  StandingReviewView,
} from "./standing-reviews.views.js";

@Resolver(() => StandingReviewView)
export class StandingReviewsResolver {
  constructor(private readonly standingReviewsService: StandingReviewsService) {}

  @Query(() => StandingReviewConnection, {
    nullable: true,
    description: "Packs with disputed standings or held results, which wait for a moderator",
  })
  @Roles("moderator")
  async standingReviews(@Args() args: StandingReviewsArgs): Promise<Connection<StandingReviewView>> {
    return toConnection(await this.standingReviewsService.list(args));
  }

  @Mutation(() => StandingReviewView, { nullable: true, description: "Decide on the disputed standings of a pack" })
  @Roles("moderator")
  decideDisputes(
    @Args("input", { description: "Which standings, what becomes of them, and why" }) input: DisputeInput,
    @CurrentAccount() caller: Caller,
  ): Promise<StandingReviewView> {
    return this.standingReviewsService.decideDisputes(input, caller);
  }

  @Mutation(() => StandingReviewView, {
    nullable: true,
    description: "Decide on a tester's held results of a pack",
  })
  @Roles("moderator")
  decideHeldResults(
    @Args("input", { description: "Whose results, what becomes of them, and why" }) input: HeldResultsInput,
    @CurrentAccount() caller: Caller,
  ): Promise<StandingReviewView> {
    return this.standingReviewsService.decideHeldResults(input, caller);
  }
}
