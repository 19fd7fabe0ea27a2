import { Args, ID, Mutation, Query, Resolver } from "@nestjs/graphql";
import type { Caller } from "../../platform/auth/account.js";
import { Authenticated, CurrentAccount } from "../../platform/auth/decorators.js";
import { AnswerHoldsSecret } from "../../platform/idempotency/answer-holds-secret.js";
import { type Connection, PageArgs, toConnection } from "../../platform/paging/page.js";
import { WebhooksService } from "./webhooks.service.js";
import {
  NewWebhookView,
  WebhookConnection,
  WebhookFailureConnection,
  WebhookFailuresArgs,
  type WebhookFailureView,
  WebhookInput,
  WebhookView,
} from "./webhooks.views.js";

@Resolver()
export class WebhooksResolver {
  constructor(private readonly webhooksService: WebhooksService) {}

  @Query(() => WebhookConnection, { nullable: true, description: "Your webhooks, newest first" })
  @Authenticated()
  async webhooks(@Args() args: PageArgs, @CurrentAccount() caller: Caller): Promise<Connection<WebhookView>> {
    return toConnection(await this.webhooksService.list(args, caller));
  }

  @Query(() => WebhookFailureConnection, {
    nullable: true,
    description: "Messages that one of your webhooks did not take and that were given up, newest first",
  })
  @Authenticated()
  async webhookFailures(
    @Args() { webhookId, ...args }: WebhookFailuresArgs,
    @CurrentAccount() caller: Caller,
  ): Promise<Connection<WebhookFailureView>> {
    return toConnection(await this.webhooksService.failures(webhookId, args, caller));
  }

  @Mutation(() => NewWebhookView, {
    nullable: true,
    description: "Have what you are told sent to a URL, signed by Standard Webhooks; the secret is shown this once",
  })
  @Authenticated()
  @AnswerHoldsSecret()
  createWebhook(
    @Args("input", { description: "Where to send, and which kinds" }) input: WebhookInput,
    @CurrentAccount() caller: Caller,
  ): Promise<NewWebhookView> {
    return this.webhooksService.create(input, caller);
  }

  @Mutation(() => NewWebhookView, {
    nullable: true,
    description: "Sign with a new secret, which is shown this once; for a day the one before it signs too",
  })
  @Authenticated()
  @AnswerHoldsSecret()
  rotateWebhookSecret(
    @Args("id", { type: () => ID, description: "Which one, by its id" }) id: string,
    @CurrentAccount() caller: Caller,
  ): Promise<NewWebhookView> {
    return this.webhooksService.rotateSecret(id, caller);
  }

  @Mutation(() => WebhookView, { nullable: true, description: "Enable a webhook again, or disable it" })
  @Authenticated()
  setWebhookEnabled(
    @Args("id", { type: () => ID, description: "Which one, by its id" }) id: string,
    @Args("enabled", { type: () => Boolean, description: "Whether anything is sent to it" }) enabled: boolean,
    @CurrentAccount() caller: Caller,
  ): Promise<WebhookView> {
    return this.webhooksService.setEnabled(id, enabled, caller);
  }

  @Mutation(() => ID, { nullable: true, description: "Delete a webhook with what it has not taken; its id" })
  @Authenticated()
  async deleteWebhook(
    @Args("id", { type: () => ID, description: "Which one, by its id" }) id: string,
    @CurrentAccount() caller: Caller,
  ): Promise<string> {
    await this.webhooksService.delete(id, caller);
    return id;
  }

  @Mutation(() => ID, { nullable: true, description: "Try again to send a message that was given up; its id" })
  @Authenticated()
  async resendWebhookFailure(
    @Args("webhookId", { type: () => ID, description: "The webhook, by its id" }) webhookId: string,
    @Args("id", { type: () => ID, description: "The message, by its id" }) id: string,
    @CurrentAccount() caller: Caller,
  ): Promise<string> {
    await this.webhooksService.resend(webhookId, id, caller);
    return id;
  }
}
