import { Args, Extensions, ID, Mutation, Query, Resolver } from "@nestjs/graphql";
import type { Caller } from "../../platform/auth/account.js";
import { Authenticated, CurrentAccount } from "../../platform/auth/decorators.js";
import { READS_REPLICA } from "../../platform/graphql/revised.js";
import { type Connection, toConnection } from "../../platform/paging/page.js";
import { PacksService } from "./packs.service.js";
import { PackConnection, PackInput, PacksArgs, PackView } from "./packs.views.js";

@Resolver(() => PackView)
export class PacksResolver {
  constructor(private readonly packsService: PacksService) {}

  @Extensions({ [READS_REPLICA]: true })
  @Query(() => PackConnection, { nullable: true, description: "Packs of the record" })
  async packs(@Args() args: PacksArgs): Promise<Connection<PackView>> {
    return toConnection(await this.packsService.list(args));
  }

  @Extensions({ [READS_REPLICA]: true })
  @Query(() => PackView, { nullable: true, description: "A product of the record by its id" })
  pack(
    @Args("id", { type: () => ID, description: "Which one, by its id" }) id: string,
    @CurrentAccount() caller: Caller | null,
  ): Promise<PackView> {
    return this.packsService.get(id, caller);
  }

  @Mutation(() => PackView, { nullable: true, description: "Register a pack" })
  @Authenticated()
  createPack(
    @Args("input", { description: "The product as its label states it" }) input: PackInput,
    @CurrentAccount() caller: Caller,
  ): Promise<PackView> {
    return this.packsService.register(input, caller);
  }
}
