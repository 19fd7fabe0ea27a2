import { ArgsType, InputType, ObjectType } from "@nestjs/graphql";
import { connectionOf, listOf, PageArgs } from "../../platform/paging/page.js";
import {
  BooleanField,
  DateTimeField,
  declareEnum,
  EnumListField,
  IdField,
  IntField,
  StringField,
} from "../../platform/views/index.js";
import { NOTICE_KINDS, NOTICES, type NoticeKind } from "../notices/notices.views.js";

/** What can be sent to a webhook. */
export const WEBHOOK_KINDS = [...NOTICE_KINDS];
export type WebhookKind = NoticeKind;

declareEnum(WEBHOOK_KINDS, {
  name: "WebhookKind",
  description: "What is sent to a webhook",
  meanings: Object.fromEntries(NOTICE_KINDS.map((kind) => [kind, NOTICES[kind].meaning])) as Record<
    WebhookKind,
    string
  >,
});

const KINDS = { description: "What is sent; everything, also what is added later, when null", optional: true } as const;
const URL_TEXT = { description: "Where it is sent: an https URL of a public host", min: 8, max: 2_000 } as const;

@InputType({ description: "Where to send what you are told" })
export class WebhookInput {
  @StringField(URL_TEXT)
  url: string;

  @EnumListField(WEBHOOK_KINDS, KINDS)
  kinds?: WebhookKind[] | null;
}

export class WebhookChangeInput {
  @BooleanField({ description: "Whether anything is sent to it" })
  enabled: boolean;
}

@ObjectType("Webhook", { description: "A URL that is sent what you are told (Standard Webhooks)" })
export class WebhookView {
  @IdField({ description: "Names the webhook" })
  id: string;

  @StringField(URL_TEXT)
  url: string;

  @EnumListField(WEBHOOK_KINDS, KINDS)
  kinds: WebhookKind[] | null;

  @DateTimeField({ description: "When it was made" })
  createdAt: string;

  @DateTimeField({
    description:
      "Until when messages are signed with the secret before the last rotation too; null when there was none",
    optional: true,
  })
  previousSecretUntil: string | null;

  @IntField({ description: "Failed tries since the last one that succeeded", min: 0, max: 1_000_000 })
  failures: number;

  @DateTimeField({ description: "Nothing is tried before, since the last try failed", optional: true })
  retryAt: string | null;

  @DateTimeField({ description: "Since when nothing is sent to it; null while it is enabled", optional: true })
  disabledAt: string | null;
}

@ObjectType("NewWebhook", { description: "A webhook whose secret was just made, with the secret that is shown once" })
export class NewWebhookView extends WebhookView {
  @StringField({ description: "Key of the signatures (whsec_ and base64); shown this once", max: 60 })
  secret: string;
}

export const WebhookList = listOf(WebhookView, "Webhook");
export const WebhookConnection = connectionOf(WebhookView, "Webhook");

@ObjectType("WebhookFailure", { description: "A message that was given up, since the webhook did not take it" })
export class WebhookFailureView {
  @IdField({ description: "Names the message; its `webhook-id`" })
  id: string;

  @StringField({ description: "What it tells of, such as `notice.question`", max: 80 })
  type: string;

  @StringField({ description: "The body that was sent, JSON", max: 100_000 })
  body: string;

  @IntField({ description: "How often it was tried", min: 0, max: 1_000_000 })
  attempts: number;

  @StringField({ description: "Why the last try failed; null where none was made", max: 200, optional: true })
  fault: string | null;

  @DateTimeField({ description: "When it was written" })
  createdAt: string;

  @DateTimeField({ description: "When it was given up" })
  failedAt: string;
}

/** As GraphQL asks; REST has the webhook in the path. */
@ArgsType()
export class WebhookFailuresArgs extends PageArgs {
  @IdField({ description: "The webhook, by its id" })
  webhookId: string;
}

export const WebhookFailureList = listOf(WebhookFailureView, "WebhookFailure");
export const WebhookFailureConnection = connectionOf(WebhookFailureView, "WebhookFailure");
