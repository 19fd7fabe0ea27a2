import { Args, Query, Resolver } from "@nestjs/graphql";
import type { Caller } from "../../platform/auth/account.js";
import { CurrentAccount } from "../../platform/auth/decorators.js";
import { LaddersService } from "./ladders.service.js";
import { LadderOfSpecimenArgs, LadderView } from "./ladders.views.js";

@Resolver(() => LadderView)
export class LaddersResolver {
  constructor(private readonly laddersService: LaddersService) {}

  @Query(() => LadderView, {
    nullable: true,
    description: "The current that a specimen sustains, from its constant-current runs",
  })
  ladder(
    @Args() { specimenId, ...args }: LadderOfSpecimenArgs,
    @CurrentAccount() caller: Caller | null,
  ): Promise<LadderView> {
    return this.laddersService.get(specimenId, args, caller);
  }
}
