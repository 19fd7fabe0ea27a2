import { Body, Controller, Delete, Get, Header, HttpCode, Param, Patch, Post, Query } from "@nestjs/common";
import { ApiCreatedResponse, ApiNoContentResponse, ApiOkResponse, ApiOperation, ApiTags } from "@nestjs/swagger";
import type { Caller } from "../../platform/auth/account.js";
import { Authenticated, CurrentAccount } from "../../platform/auth/decorators.js";
import { Refuses } from "../../platform/http/open-api/refuses.js";
import { AnswerHoldsSecret, MakesSecretOnce } from "../../platform/idempotency/answer-holds-secret.js";
import { PageArgs, toList } from "../../platform/paging/page.js";
import { WebhooksService } from "./webhooks.service.js";
import {
  NewWebhookView,
  WebhookChangeInput,
  WebhookFailureList,
  WebhookInput,
  WebhookList,
  WebhookView,
} from "./webhooks.views.js";

@ApiTags("notices")
@Controller("v1/webhooks")
export class WebhooksController {
  constructor(private readonly webhooksService: WebhooksService) {}

  @Post()
  @Authenticated()
  @MakesSecretOnce("webhook")
  @Header("cache-control", "no-store")
  @Refuses("limit-reached", "already-exists")
  @ApiOperation({
    summary: "Have what you are told sent to a URL, signed by Standard Webhooks; the secret is shown this once",
  })
  @ApiCreatedResponse({ type: NewWebhookView })
  create(@Body() input: WebhookInput, @CurrentAccount() caller: Caller): Promise<NewWebhookView> {
    return this.webhooksService.create(input, caller);
  }

  @Get()
  @Authenticated()
  @ApiOperation({ summary: "Your webhooks, newest first" })
  @ApiOkResponse({ type: WebhookList })
  async list(@Query() args: PageArgs, @CurrentAccount() caller: Caller) {
    return toList(await this.webhooksService.list(args, caller));
  }

  @Get(":id")
  @Authenticated()
  @ApiOperation({ summary: "One of your webhooks" })
  @ApiOkResponse({ type: WebhookView })
  get(@Param("id") id: string, @CurrentAccount() caller: Caller): Promise<WebhookView> {
    return this.webhooksService.get(id, caller);
  }

  @Patch(":id")
  @Authenticated()
  @Header("cache-control", "no-store")
  @ApiOperation({ summary: "Enable a webhook again, or disable it" })
  @ApiOkResponse({ type: WebhookView })
  update(
    @Param("id") id: string,
    @Body() { enabled }: WebhookChangeInput,
    @CurrentAccount() caller: Caller,
  ): Promise<WebhookView> {
    return this.webhooksService.setEnabled(id, enabled, caller);
  }

  @Post(":id/secret")
  @Authenticated()
  @AnswerHoldsSecret()
  @Header("cache-control", "no-store")
  @ApiOperation({
    operationId: "rotateWebhookSecret",
    summary: "Sign with a new secret, which is shown this once; for a day the one before it signs too",
  })
  @ApiCreatedResponse({ type: NewWebhookView })
  rotateSecret(@Param("id") id: string, @CurrentAccount() caller: Caller): Promise<NewWebhookView> {
    return this.webhooksService.rotateSecret(id, caller);
  }

  @Delete(":id")
  @Authenticated()
  @HttpCode(204)
  @Header("cache-control", "no-store")
  @ApiOperation({ summary: "Delete a webhook with what it has not taken" })
  @ApiNoContentResponse()
  delete(@Param("id") id: string, @CurrentAccount() caller: Caller): Promise<void> {
    return this.webhooksService.delete(id, caller);
  }

  @Get(":id/failures")
  @Authenticated()
  @ApiOperation({
    operationId: "listWebhookFailures",
    summary: "Messages that were given up, newest first; the last hundred are kept",
  })
  @ApiOkResponse({ type: WebhookFailureList })
  async failures(@Param("id") id: string, @Query() args: PageArgs, @CurrentAccount() caller: Caller) {
    return toList(await this.webhooksService.failures(id, args, caller));
  }

  @Post(":id/failures/:failureId/resend")
  @Authenticated()
  @HttpCode(204)
  @Header("cache-control", "no-store")
  @Refuses("webhook-disabled")
  @ApiOperation({ operationId: "resendWebhookFailure", summary: "Try again to send a message that was given up" })
  @ApiNoContentResponse()
  resend(
    @Param("id") id: string,
    @Param("failureId") failureId: string,
    @CurrentAccount() caller: Caller,
  ): Promise<void> {
    return this.webhooksService.resend(id, failureId, caller);
  }
}
