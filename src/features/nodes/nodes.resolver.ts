import { Args, ID, Query, Resolver } from "@nestjs/graphql";
import type { Caller } from "../../platform/auth/account.js";
import { CurrentAccount } from "../../platform/auth/decorators.js";
import { Node, type NodeOfType } from "../../platform/graphql/node.js";
import { NodesService } from "./nodes.service.js";
import { NodesArgs } from "./nodes.views.js";

@Resolver(() => Node)
export class NodesResolver {
  constructor(private readonly nodesService: NodesService) {}

  @Query(() => Node, {
    nullable: true,
    description: "A pack, run, specimen, bench or tester by its id; null where there is none that you may see",
  })
  async node(
    @Args("id", { type: () => ID, description: "Id of a pack, run, specimen, bench or tester" }) id: string,
    @CurrentAccount() caller: Caller | null,
  ): Promise<NodeOfType | null> {
    return (await this.nodesService.find([id], caller))[0] ?? null;
  }

  @Query(() => [Node], {
    nullable: "itemsAndList",
    description: "Several of them in the order of their ids, with null for each that there is not",
  })
  nodes(@Args() { ids }: NodesArgs, @CurrentAccount() caller: Caller | null): Promise<(NodeOfType | null)[]> {
    return this.nodesService.find(ids, caller);
  }
}
