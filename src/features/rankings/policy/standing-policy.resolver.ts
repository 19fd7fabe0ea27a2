import { Args, Mutation, Query, Resolver } from "@nestjs/graphql";
import type { Caller } from "../../../platform/auth/account.js";
import { CurrentAccount, Roles } from "../../../platform/auth/decorators.js";
import { type Connection, PageArgs, toConnection } from "../../../platform/paging/page.js";
import { StandingPolicyService } from "./standing-policy.service.js";
import {
  StandingPolicyInput,
  StandingPolicyVersionConnection,
  type StandingPolicyVersionView,
  StandingPolicyView,
} from "./standing-policy.views.js";

@Resolver()
export class StandingPolicyResolver {
  constructor(private readonly standingPolicyService: StandingPolicyService) {}

  @Query(() => StandingPolicyView, {
    nullable: true,
    description: "How many testers with a record make a standing established",
  })
  standingPolicy(): Promise<StandingPolicyView> {
    return this.standingPolicyService.policy();
  }

  @Query(() => StandingPolicyVersionConnection, {
    nullable: true,
    description: "What made a standing established, with why, by version; the newest first",
  })
  @Roles("moderator")
  async standingPolicyVersions(@Args() args: PageArgs): Promise<Connection<StandingPolicyVersionView>> {
    return toConnection(await this.standingPolicyService.versions(args));
  }

  @Mutation(() => StandingPolicyView, {
    nullable: true,
    description: "Set what makes a standing established; every version is kept, and all standings follow",
  })
  @Roles("administrator")
  setStandingPolicy(
    @Args("input", { description: "Every member of the policy, and why it is set so" }) input: StandingPolicyInput,
    @CurrentAccount() caller: Caller,
  ): Promise<StandingPolicyView> {
    return this.standingPolicyService.set(input, caller);
  }
}
