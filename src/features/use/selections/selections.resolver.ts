import { Args, Query, Resolver } from "@nestjs/graphql";
import type { Caller } from "../../../platform/auth/account.js";
import { CurrentAccount } from "../../../platform/auth/decorators.js";
import { type Client, FromClient } from "../../../platform/client/client.js";
import { type Connection, toConnection } from "../../../platform/paging/page.js";
import { type SelectionPage, SelectionsService } from "./selections.service.js";
import { type SelectedPackView, SelectionArgs, SelectionConnection } from "./selections.views.js";

@Resolver(() => SelectionConnection)
export class SelectionsResolver {
  constructor(private readonly selectionsService: SelectionsService) {}

  @Query(() => SelectionConnection, {
    nullable: true,
    description: "The packs of a class that hold a use, by how probable that is, their margin, mass and energy left",
  })
  async selection(
    @Args() { input, ...args }: SelectionArgs,
    @CurrentAccount() caller: Caller | null,
    @FromClient() { network }: Client,
  ): Promise<Connection<SelectedPackView> & Pick<SelectionPage, "cautions" | "counts">> {
    const page = await this.selectionsService.select(input, args, caller, network);
    return { cautions: page.cautions, counts: page.counts, ...toConnection(page) };
  }
}
