import { Args, Mutation, Query, Resolver } from "@nestjs/graphql";
import type { Caller } from "../../platform/auth/account.js";
import { CurrentAccount, Roles } from "../../platform/auth/decorators.js";
import { AcceptanceService } from "./acceptance.service.js";
import { AcceptanceRuleInput, AcceptanceRuleView } from "./acceptance-rule.views.js";

@Resolver()
export class AcceptanceResolver {
  constructor(private readonly acceptance: AcceptanceService) {}

  @Query(() => AcceptanceRuleView, {
    description: "The rule by which runs are accepted without a moderator; off until it is set",
  })
  @Roles("moderator")
  acceptanceRule(): Promise<AcceptanceRuleView> {
    return this.acceptance.rule();
  }

  @Mutation(() => AcceptanceRuleView, {
    description: "Set the rule; every version is kept, and runs that wait are looked at by the new one",
  })
  @Roles("administrator")
  setAcceptanceRule(
    @Args("input") input: AcceptanceRuleInput,
    @CurrentAccount() caller: Caller,
  ): Promise<AcceptanceRuleView> {
    return this.acceptance.set(input, caller);
  }
}
