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

/** Tells that the public record has changed, and nothing of what. */
export const RECORD_CHANGED = "record-changed";

/** What can be sent to a webhook. */
export const WEBHOOK_KINDS = [...NOTICE_KINDS, RECORD_CHANGED] as const;
export type WebhookKind = NoticeKind | typeof RECORD_CHANGED;

declareEnum(WEBHOOK_KINDS, {
  name: "WebhookKind",
  description: "What is sent to a webhook",
  meanings: {
    ...(Object.fromEntries(NOTICE_KINDS.map((kind) => [kind, NOTICES[kind].meaning])) as Record<NoticeKind, string>),
    [RECORD_CHANGED]: "The public record has changed: read `/v1/changes`",
  },
});

const KINDS = {
  description:
    "What is sent; every notice, also of kinds that are added later, when null. Changes of the public record are sent only where they are named",
  optional: true,
} as const;
const URL_TEXT = { description: "Where it is sent: an https URL of a public host", min: 8, max: 2_000 } as const;

@InputType({ description: "Where to send what you are told, or that the public record has changed" })
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
