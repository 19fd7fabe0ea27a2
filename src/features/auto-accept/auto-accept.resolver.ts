import { Args, Mutation, Query, Resolver } from "@nestjs/graphql";
import type { Caller } from "../../platform/auth/account.js";
import { CurrentAccount, Roles } from "../../platform/auth/decorators.js";
import { type Connection, PageArgs, toConnection } from "../../platform/paging/page.js";
import { AutoAcceptService } from "./auto-accept.service.js";
import {
  AutoAcceptPolicyInput,
  AutoAcceptPolicyVersionConnection,
  type AutoAcceptPolicyVersionView,
  AutoAcceptPolicyView,
} from "./auto-accept-policy.views.js";

@Resolver()
export class AutoAcceptResolver {
  constructor(private readonly autoAcceptService: AutoAcceptService) {}

  @Query(() => AutoAcceptPolicyView, {
    nullable: true,
    description: "The rule by which runs are accepted without a moderator; off until it is set",
  })
  @Roles("moderator")
  autoAcceptPolicy(): Promise<AutoAcceptPolicyView> {
    return this.autoAcceptService.rule();
  }

  @Query(() => AutoAcceptPolicyVersionConnection, {
    nullable: true,
    description: "By which rule runs were accepted without a moderator, with why, by version; the newest first",
  })
  @Roles("moderator")
  async autoAcceptPolicyVersions(@Args() args: PageArgs): Promise<Connection<AutoAcceptPolicyVersionView>> {
    return toConnection(await this.autoAcceptService.versions(args));
  }

  @Mutation(() => AutoAcceptPolicyView, {
    nullable: true,
    description: "Set the rule; every version is kept, and runs that wait are looked at by the new one",
  })
  @Roles("administrator")
  setAutoAcceptPolicy(
    @Args("input", { description: "Every term of the policy, and why it is set so" }) input: AutoAcceptPolicyInput,
    @CurrentAccount() caller: Caller,
  ): Promise<AutoAcceptPolicyView> {
    return this.autoAcceptService.set(input, caller);
  }
}
