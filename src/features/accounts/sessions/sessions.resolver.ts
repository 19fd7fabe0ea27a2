import { Args, ID, Mutation, Query, Resolver } from "@nestjs/graphql";
import type { Caller } from "../../../platform/auth/account.js";
import { CurrentAccount, EvenSuspended, SessionOnly } from "../../../platform/auth/decorators.js";
import { type Client, FromClient } from "../../../platform/client/client.js";
import { AnswerHoldsSecret } from "../../../platform/idempotency/answer-holds-secret.js";
import { type Connection, PageArgs, toConnection } from "../../../platform/paging/page.js";
import { CredentialsInput } from "../accounts.views.js";
import { SessionsService } from "./sessions.service.js";
import { OpenSessionConnection, type OpenSessionView, SessionView } from "./sessions.views.js";

@Resolver()
export class SessionsResolver {
  constructor(private readonly sessionsService: SessionsService) {}

  @Query(() => OpenSessionConnection, { nullable: true, description: "Your open sessions, newest first" })
  @SessionOnly()
  async sessions(@Args() args: PageArgs, @CurrentAccount() caller: Caller): Promise<Connection<OpenSessionView>> {
    return toConnection(await this.sessionsService.list(args, caller));
  }

  @Mutation(() => SessionView, { nullable: true, description: "Open a session" })
  @AnswerHoldsSecret()
  createSession(
    @Args("input", { description: "Handle and password" }) input: CredentialsInput,
    @FromClient() client: Client,
  ): Promise<SessionView> {
    return this.sessionsService.open(input, client);
  }

  @Mutation(() => ID, { nullable: true, description: "End one of your sessions; its id" })
  @SessionOnly()
  @EvenSuspended()
  async endSession(
    @Args("id", { type: () => ID, description: "Which one, by its id" }) id: string,
    @CurrentAccount() caller: Caller,
  ): Promise<string> {
    await this.sessionsService.end(id, caller);
    return id;
  }
}
