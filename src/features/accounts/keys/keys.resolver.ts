import { Args, ID, Mutation, Query, Resolver } from "@nestjs/graphql";
import type { Caller } from "../../../platform/auth/account.js";
import { CurrentAccount, SessionOnly } from "../../../platform/auth/decorators.js";
import { AnswerHoldsSecret } from "../../../platform/idempotency/answer-holds-secret.js";
import { type Connection, PageArgs, toConnection } from "../../../platform/paging/page.js";
import { KeysService } from "./keys.service.js";
import { KeyConnection, KeyInput, type KeyView, NewKeyView } from "./keys.views.js";

@Resolver()
export class KeysResolver {
  constructor(private readonly keysService: KeysService) {}

  @Query(() => KeyConnection, { nullable: true, description: "Your keys, newest first" })
  @SessionOnly()
  async keys(@Args() args: PageArgs, @CurrentAccount() caller: Caller): Promise<Connection<KeyView>> {
    return toConnection(await this.keysService.list(args, caller));
  }

  @Mutation(() => NewKeyView, { nullable: true, description: "Make a key for programs; it is shown this once" })
  @SessionOnly()
  @AnswerHoldsSecret()
  createKey(
    @Args("input", { description: "What the key is for, and what it may do" }) input: KeyInput,
    @CurrentAccount() caller: Caller,
  ): Promise<NewKeyView> {
    return this.keysService.create(input, caller);
  }

  @Mutation(() => ID, { nullable: true, description: "Delete one of your keys; its id" })
  @SessionOnly()
  async deleteKey(
    @Args("id", { type: () => ID, description: "Which one, by its id" }) id: string,
    @CurrentAccount() caller: Caller,
  ): Promise<string> {
    await this.keysService.delete(id, caller);
    return id;
  }
}
