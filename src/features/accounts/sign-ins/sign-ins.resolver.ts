import { Args, ID, Mutation, Query, Resolver } from "@nestjs/graphql";
import type { Caller } from "../../../platform/auth/account.js";
import { CurrentAccount, SessionOnly } from "../../../platform/auth/decorators.js";
import { type Client, FromClient } from "../../../platform/client/client.js";
import { AnswerHoldsSecret } from "../../../platform/idempotency/answer-holds-secret.js";
import { type Connection, PageArgs, toConnection } from "../../../platform/paging/page.js";
import { SessionView } from "../sessions/sessions.views.js";
import { SignInsService } from "./sign-ins.service.js";
import { IdentityConnection, IdentityInput, IdentityView, SignInInput } from "./sign-ins.views.js";

@Resolver()
export class SignInsResolver {
  constructor(private readonly signInsService: SignInsService) {}

  @Query(() => IdentityConnection, { nullable: true, description: "Who you are at identity providers, newest first" })
  @SessionOnly()
  async identities(@Args() args: PageArgs, @CurrentAccount() caller: Caller): Promise<Connection<IdentityView>> {
    return toConnection(await this.signInsService.list(args, caller));
  }

  @Mutation(() => SessionView, {
    nullable: true,
    description: "Open a session with the code of a sign-in; the first time, under a handle of your choice",
  })
  @AnswerHoldsSecret()
  createSessionFromSignIn(
    @Args("input", { description: "The code of the sign-in and its verifier; a handle the first time" })
    input: SignInInput,
    @FromClient() client: Client,
  ): Promise<SessionView> {
    return this.signInsService.open(input, client);
  }

  @Mutation(() => IdentityView, {
    nullable: true,
    description: "Link your account to who you signed in as; from then on that opens it too",
  })
  @SessionOnly()
  linkIdentity(
    @Args("input", { description: "The sign-in to link, with what shows again who asks" }) input: IdentityInput,
    @CurrentAccount() caller: Caller,
  ): Promise<IdentityView> {
    return this.signInsService.link(input, caller);
  }

  @Mutation(() => ID, { nullable: true, description: "Unlink it; not while it is the only way into your account" })
  @SessionOnly()
  async unlinkIdentity(
    @Args("id", { type: () => ID, description: "Which one, by its id" }) id: string,
    @CurrentAccount() caller: Caller,
  ): Promise<string> {
    await this.signInsService.unlink(id, caller);
    return id;
  }
}
