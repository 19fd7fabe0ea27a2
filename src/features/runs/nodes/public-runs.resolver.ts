import { Args, Context, Parent, ResolveField, Resolver } from "@nestjs/graphql";
import type { GuardedContext } from "../../../platform/graphql/execution/guard-resolvers.js";
import { type Connection, PageArgs } from "../../../platform/paging/page.js";
import { TesterView } from "../../accounts/accounts.views.js";
import { PackView } from "../../packs/packs.views.js";
import { RunConnection } from "../runs.views.js";
import { PublicRuns } from "./public-runs.js";
import type { RunNode } from "./run-node.js";

/** The runs that a pack was measured by. */
@Resolver(() => PackView)
export class PackRunsResolver {
  constructor(private readonly publicRuns: PublicRuns) {}

  @ResolveField(() => RunConnection, { nullable: true, description: "Accepted tests of this product, newest first" })
  runs(
    @Parent() { id }: PackView,
    @Args() args: PageArgs,
    @Context() operation: GuardedContext,
  ): Promise<Connection<RunNode>> {
    return this.publicRuns.of("pack", { id, args, operation });
  }
}

/** The runs that a tester has added to the public record. */
@Resolver(() => TesterView)
export class TesterRunsResolver {
  constructor(private readonly publicRuns: PublicRuns) {}

  @ResolveField(() => RunConnection, { nullable: true, description: "Accepted tests by this person, newest first" })
  runs(
    @Parent() { id }: TesterView,
    @Args() args: PageArgs,
    @Context() operation: GuardedContext,
  ): Promise<Connection<RunNode>> {
    return this.publicRuns.of("tester", { id, args, operation });
  }
}
