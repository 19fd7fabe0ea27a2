import { Args, Extensions, Query, Resolver } from "@nestjs/graphql";
import type { Caller } from "../../platform/auth/account.js";
import { CurrentAccount } from "../../platform/auth/decorators.js";
import { READS_REPLICA } from "../../platform/graphql/revised.js";
import { type Connection, toConnection } from "../../platform/paging/page.js";
import { LaddersService } from "./ladders.service.js";
import {
  LadderOfSpecimenArgs,
  LadderSummaryConnection,
  type LadderSummaryView,
  LaddersOfPackArgs,
  LadderView,
} from "./ladders.views.js";

@Resolver(() => LadderView)
export class LaddersResolver {
  constructor(private readonly laddersService: LaddersService) {}

  @Extensions({ [READS_REPLICA]: true })
  @Query(() => LadderSummaryConnection, {
    nullable: true,
    description: "The ladders of a pack's specimens, from their accepted steps",
  })
  async ladders(@Args() { packId, ...args }: LaddersOfPackArgs): Promise<Connection<LadderSummaryView>> {
    return toConnection(await this.laddersService.ofPack(packId, args));
  }

  @Extensions({ [READS_REPLICA]: true })
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
