import { Args, Mutation, Query, Resolver } from "@nestjs/graphql";
import type { Caller } from "../../platform/auth/account.js";
import { CurrentAccount, Roles } from "../../platform/auth/decorators.js";
import { type Connection, toConnection } from "../../platform/paging/page.js";
import { SealedRoundsService } from "./sealed-rounds.service.js";
import {
  OpenSealedRoundInput,
  SealedRoundConnection,
  SealedRoundsArgs,
  SealedRoundView,
} from "./sealed-rounds.views.js";

@Resolver(() => SealedRoundView)
export class SealedRoundsResolver {
  constructor(private readonly sealedRoundsService: SealedRoundsService) {}

  @Query(() => SealedRoundConnection, {
    nullable: true,
    description: "Rounds in which new packs are measured unseen, newest first",
  })
  async sealedRounds(@Args() args: SealedRoundsArgs): Promise<Connection<SealedRoundView>> {
    return toConnection(await this.sealedRoundsService.list(args));
  }

  @Mutation(() => SealedRoundView, {
    nullable: true,
    description: "Let a new pack be measured unseen: none of its runs is accepted before the round closes",
  })
  @Roles("moderator")
  openSealedRound(
    @Args("input", { description: "Which pack, and until when" }) { packId, ...input }: OpenSealedRoundInput,
    @CurrentAccount() caller: Caller,
  ): Promise<SealedRoundView> {
    return this.sealedRoundsService.open(packId, input, caller);
  }
}
