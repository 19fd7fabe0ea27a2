import { Args, ID, Mutation, Query, Resolver } from "@nestjs/graphql";
import type { Caller } from "../../platform/auth/account.js";
import { CurrentAccount, Roles } from "../../platform/auth/decorators.js";
import { type Connection, PageArgs, toConnection } from "../../platform/paging/page.js";
import { ReevaluationsService } from "./reevaluations.service.js";
import { ReevaluationConnection, ReevaluationInput, ReevaluationView } from "./reevaluations.views.js";

@Resolver(() => ReevaluationView)
export class ReevaluationsResolver {
  constructor(private readonly reevaluationsService: ReevaluationsService) {}

  @Query(() => ReevaluationConnection, { nullable: true, description: "Re-evaluations, the newest first" })
  @Roles("administrator")
  async reevaluations(@Args() args: PageArgs): Promise<Connection<ReevaluationView>> {
    return toConnection(await this.reevaluationsService.list(args));
  }

  @Query(() => ReevaluationView, {
    nullable: true,
    description: "How far a re-evaluation has come, and what it changed or would change",
  })
  @Roles("administrator")
  reevaluation(
    @Args("id", { type: () => ID, description: "Which one, by its id" }) id: string,
  ): Promise<ReevaluationView> {
    return this.reevaluationsService.get(id);
  }

  @Mutation(() => ReevaluationView, {
    nullable: true,
    description: "Re-evaluate every run of a protocol, or report what that would change",
  })
  @Roles("administrator")
  startReevaluation(
    @Args("input", { description: "Which version of which protocol, and whether to try it only" })
    input: ReevaluationInput,
    @CurrentAccount() caller: Caller,
  ): Promise<ReevaluationView> {
    return this.reevaluationsService.start(input, caller);
  }

  @Mutation(() => ReevaluationView, { nullable: true, description: "Cancel a re-evaluation that is at work" })
  @Roles("administrator")
  cancelReevaluation(
    @Args("id", { type: () => ID, description: "Which one, by its id" }) id: string,
    @CurrentAccount() caller: Caller,
  ): Promise<ReevaluationView> {
    return this.reevaluationsService.cancel(id, caller);
  }
}
