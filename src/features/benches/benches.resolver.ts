import { Args, ID, Mutation, Query, Resolver } from "@nestjs/graphql";
import type { Caller } from "../../platform/auth/account.js";
import { Authenticated, CurrentAccount } from "../../platform/auth/decorators.js";
import { type Connection, PageArgs, toConnection } from "../../platform/paging/page.js";
import { BenchesService } from "./benches.service.js";
import { BenchConnection, BenchCorrectionInput, BenchInput, BenchView } from "./benches.views.js";

@Resolver(() => BenchView)
@Authenticated()
export class BenchesResolver {
  constructor(private readonly benchesService: BenchesService) {}

  @Query(() => BenchConnection, { nullable: true, description: "Your benches" })
  async benches(@Args() args: PageArgs, @CurrentAccount() caller: Caller): Promise<Connection<BenchView>> {
    return toConnection(await this.benchesService.listOwn(args, caller));
  }

  @Query(() => BenchView, { nullable: true, description: "One of your benches, by its id" })
  bench(
    @Args("id", { type: () => ID, description: "Which one, by its id" }) id: string,
    @CurrentAccount() caller: Caller,
  ): Promise<BenchView> {
    return this.benchesService.getOwn(id, caller);
  }

  @Mutation(() => BenchView, { nullable: true, description: "Register a bench" })
  createBench(
    @Args("input", { description: "The bench as its owner describes it" }) input: BenchInput,
    @CurrentAccount() caller: Caller,
  ): Promise<BenchView> {
    return this.benchesService.register(input, caller);
  }

  @Mutation(() => BenchView, {
    nullable: true,
    description: "State your bench otherwise: a new version, when runs were measured on it, which keep theirs",
  })
  correctBench(
    @Args("id", { type: () => ID, description: "Which one, by its id" }) id: string,
    @Args("input", { description: "What is stated otherwise, and why" }) input: BenchCorrectionInput,
    @CurrentAccount() caller: Caller,
  ): Promise<BenchView> {
    return this.benchesService.correct(id, input, caller);
  }
}
