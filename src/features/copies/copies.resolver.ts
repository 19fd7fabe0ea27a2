import { Args, ID, Query, Resolver } from "@nestjs/graphql";
import type { Caller } from "../../platform/auth/account.js";
import { Authenticated, CurrentAccount } from "../../platform/auth/decorators.js";
import { CopiesService } from "./copies.service.js";
import { CopiesView } from "./copies.views.js";

@Resolver(() => CopiesView)
export class CopiesResolver {
  constructor(private readonly copiesService: CopiesService) {}

  @Query(() => CopiesView, {
    nullable: true,
    description:
      "Runs that look like one measurement with a run; for those who review, and for its tester as far as the other run is public or theirs",
  })
  @Authenticated()
  runCopies(
    @Args("id", { type: () => ID, description: "Which one, by its id" }) id: string,
    @CurrentAccount() caller: Caller,
  ): Promise<CopiesView> {
    return this.copiesService.list(id, caller);
  }
}
