import { Args, ID, Mutation, Query, Resolver } from "@nestjs/graphql";
import type { Caller } from "../../platform/auth/account.js";
import { Authenticated, CurrentAccount } from "../../platform/auth/decorators.js";
import { type Connection, PageArgs, toConnection } from "../../platform/paging/page.js";
import { ColumnMapsService } from "./column-maps.service.js";
import { ColumnMapConnection, ColumnMapInput, ColumnMapView } from "./column-maps.views.js";

@Resolver(() => ColumnMapView)
@Authenticated()
export class ColumnMapsResolver {
  constructor(private readonly columnMapsService: ColumnMapsService) {}

  @Query(() => ColumnMapConnection, { nullable: true, description: "Your column maps" })
  async columnMaps(@Args() args: PageArgs, @CurrentAccount() caller: Caller): Promise<Connection<ColumnMapView>> {
    return toConnection(await this.columnMapsService.listOwn(args, caller));
  }

  @Query(() => ColumnMapView, { nullable: true, description: "Your column map" })
  columnMap(
    @Args("id", { type: () => ID, description: "Which one, by its id" }) id: string,
    @CurrentAccount() caller: Caller,
  ): Promise<ColumnMapView> {
    return this.columnMapsService.getOwn(id, caller);
  }

  @Mutation(() => ColumnMapView, {
    nullable: true,
    description: "Save a column map; it is applied to your logs with exactly this header row",
  })
  createColumnMap(
    @Args("input", { description: "A header row, and which of its columns is which" }) input: ColumnMapInput,
    @CurrentAccount() caller: Caller,
  ): Promise<ColumnMapView> {
    return this.columnMapsService.save(input, caller);
  }

  @Mutation(() => ColumnMapView, { nullable: true, description: "Remove your column map; runs keep what it said" })
  async deleteColumnMap(
    @Args("id", { type: () => ID, description: "Which one, by its id" }) id: string,
    @CurrentAccount() caller: Caller,
  ): Promise<ColumnMapView> {
    const map = await this.columnMapsService.getOwn(id, caller);
    await this.columnMapsService.remove(id, caller);
    return map;
  }
}
