import { Args, ID, Mutation, Query, Resolver } from "@nestjs/graphql";
import type { Caller } from "../../platform/auth/account.js";
import { CurrentAccount, Roles } from "../../platform/auth/decorators.js";
import { type Connection, toConnection } from "../../platform/paging/page.js";
import { RunConnection, type RunView } from "../runs/runs.views.js";
import { ReviewsService } from "./reviews.service.js";
import { ReviewInput, ReviewsArgs, ReviewView } from "./reviews.views.js";

@Resolver(() => ReviewView)
export class ReviewsResolver {
  constructor(private readonly service: ReviewsService) {}

  @Query(() => RunConnection, { description: "Runs of others in a review state, oldest first" })
  @Roles("moderator")
  async reviews(@Args() args: ReviewsArgs, @CurrentAccount() caller: Caller): Promise<Connection<RunView>> {
    return toConnection(await this.service.queue(args, caller));
  }

  @Mutation(() => ReviewView, { description: "Decide on a run of another tester" })
  @Roles("moderator")
  reviewRun(
    @Args("runId", { type: () => ID }) runId: string,
    @Args("input") input: ReviewInput,
    @CurrentAccount() caller: Caller,
  ): Promise<ReviewView> {
    return this.service.decide(runId, input, caller);
  }
}
