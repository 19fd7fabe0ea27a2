import { Args, ID, Mutation, Resolver } from "@nestjs/graphql";
import type { Caller } from "../../platform/auth/account.js";
import { CurrentAccount, Roles } from "../../platform/auth/decorators.js";
import { PackView } from "../packs/packs.views.js";
import { RegisterService } from "./register.service.js";
import { ConfirmationInput, LiftArgs, PackUndoArgs, ReasonInput, SuspensionView } from "./register.views.js";
import { SuspensionsService } from "./suspensions.service.js";

const WHICH = { type: () => ID, description: "Which one, by its id" } as const;
const WHOSE = { description: "Handle of the account" } as const;
const SENT = { description: "What was checked or found, and why it is done" } as const;

@Resolver(() => PackView)
@Roles("moderator")
export class RegisterResolver {
  constructor(
    private readonly registerService: RegisterService,
    private readonly suspensionsService: SuspensionsService,
  ) {}

  @Mutation(() => PackView, { nullable: true, description: "Confirm a pack that another tester proposed" })
  confirmPack(
    @Args("id", WHICH) id: string,
    @Args("input", SENT) input: ConfirmationInput,
    @CurrentAccount() caller: Caller,
  ): Promise<PackView> {
    return this.registerService.confirm(id, input, caller);
  }

  @Mutation(() => PackView, { nullable: true, description: "Take a pack's confirmation back: it is proposed again" })
  unconfirmPack(@Args() { id, reason = null }: PackUndoArgs, @CurrentAccount() caller: Caller): Promise<PackView> {
    return this.registerService.unconfirm(id, reason, caller);
  }

  @Mutation(() => PackView, {
    nullable: true,
    description: "Hide a pack from lists and rankings; nothing is deleted",
  })
  hidePack(
    @Args("id", WHICH) id: string,
    @Args("input", SENT) { reason }: ReasonInput,
    @CurrentAccount() caller: Caller,
  ): Promise<PackView> {
    return this.registerService.hide(id, reason, caller);
  }

  @Mutation(() => PackView, { nullable: true, description: "Show a hidden pack again" })
  showPack(@Args() { id, reason = null }: PackUndoArgs, @CurrentAccount() caller: Caller): Promise<PackView> {
    return this.registerService.show(id, reason, caller);
  }

  @Mutation(() => SuspensionView, {
    nullable: true,
    description: "Suspend an account: it may only read, and its runs leave the standings",
  })
  suspendAccount(
    @Args("account", WHOSE) handle: string,
    @Args("input", SENT) { reason }: ReasonInput,
    @CurrentAccount() caller: Caller,
  ): Promise<SuspensionView> {
    return this.suspensionsService.suspend(handle, reason, caller);
  }

  @Mutation(() => SuspensionView, {
    nullable: true,
    description: "Lift the suspension of an account; its runs count again",
  })
  liftSuspension(
    @Args() { account, reason = null }: LiftArgs,
    @CurrentAccount() caller: Caller,
  ): Promise<SuspensionView> {
    return this.suspensionsService.lift(account, reason, caller);
  }
}
