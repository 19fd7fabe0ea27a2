import { Args, Query, Resolver } from "@nestjs/graphql";
import type { Caller } from "../../platform/auth/account.js";
import { CurrentAccount } from "../../platform/auth/decorators.js";
import { PlansService } from "./plans.service.js";
import { PlanArgs, PlanView } from "./plans.views.js";

@Resolver(() => PlanView)
export class PlansResolver {
  constructor(private readonly plansService: PlansService) {}

  @Query(() => PlanView, {
    nullable: true,
    description: "A test of one pack, planned: load, cutoff, logging, rest, what to expect, and a checklist",
  })
  plan(@Args() args: PlanArgs, @CurrentAccount() caller: Caller | null): Promise<PlanView> {
    return this.plansService.plan(args, caller);
  }
}
