import { Args, ID, Mutation, Resolver } from "@nestjs/graphql";
import type { Caller } from "../../platform/auth/account.js";
import { Authenticated, CurrentAccount, Roles } from "../../platform/auth/decorators.js";
import { PackView } from "../packs/packs.views.js";
import { CorrectionsService } from "./corrections.service.js";
import { MergeInput, PackCorrectionInput } from "./corrections.views.js";
import { PackUndoArgs } from "./register.views.js";

@Resolver(() => PackView)
export class CorrectionsResolver {
  constructor(private readonly correctionsService: CorrectionsService) {}

  @Mutation(() => PackView, { nullable: true, description: "Correct a pack; what depends on it is computed anew" })
  @Authenticated()
  correctPack(
    @Args("id", { type: () => ID, description: "Which one, by its id" }) id: string,
    @Args("input", { description: "The members that are put right, and why" }) input: PackCorrectionInput,
    @CurrentAccount() caller: Caller,
  ): Promise<PackView> {
    return this.correctionsService.correct(id, input, caller);
  }

  @Mutation(() => PackView, { nullable: true, description: "Merge a pack into the one that it is; its id leads there" })
  @Roles("moderator")
  mergePack(
    @Args("id", { type: () => ID, description: "Which one, by its id" }) id: string,
    @Args("input", { description: "The pack that stays, and why" }) { into, reason = null }: MergeInput,
    @CurrentAccount() caller: Caller,
  ): Promise<PackView> {
    return this.correctionsService.merge(id, into, reason, caller);
  }

  @Mutation(() => PackView, {
    nullable: true,
    description: "Undo the merge of a pack: it has its specimens and their runs again",
  })
  @Roles("moderator")
  undoPackMerge(@Args() { id, reason = null }: PackUndoArgs, @CurrentAccount() caller: Caller): Promise<PackView> {
    return this.correctionsService.undoMerge(id, reason, caller);
  }
}
