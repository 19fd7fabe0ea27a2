import { Args, ID, Resolver, Subscription } from "@nestjs/graphql";
import type { Caller } from "../../../platform/auth/account.js";
import { CurrentAccount } from "../../../platform/auth/decorators.js";
import { subscriptionOf } from "../../../platform/graphql/sockets/subscription-of.js";
import { EventsService } from "./events.service.js";
import type { RunProgress } from "./progress.js";
import { RunProgressView } from "./progress.views.js";

@Resolver()
export class EventsResolver {
  constructor(private readonly eventsService: EventsService) {}

  @Subscription(() => RunProgressView, {
    description:
      'How far the evaluation of a run has come: the present state first; ends after `processed` or `failed`. The session goes into `connection_init` as `{authorization: "Bearer ..."}`',
    resolve: (progress: RunProgress) => progress,
  })
  async runProgress(
    @Args("id", { type: () => ID, description: "Which one, by its id" }) id: string,
    @CurrentAccount() caller: Caller | null,
  ): Promise<AsyncIterableIterator<RunProgress>> {
    const left = new AbortController();
    return subscriptionOf(await this.eventsService.follow(id, caller, left.signal), left);
  }
}
