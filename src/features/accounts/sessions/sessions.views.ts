import { ObjectType } from "@nestjs/graphql";
import { connectionOf, listOf } from "../../../platform/paging/page.js";
import { BooleanField, DateTimeField, IdField, StringField } from "../../../platform/views/index.js";

@ObjectType("Session", { description: "A session that was just opened, with the secret that is shown once" })
export class SessionView {
  @StringField({ description: "Sent as `Authorization: Bearer ...`; shown this once", max: 43 })
  token: string;

  @DateTimeField({ description: "When the session ends" })
  expiresAt: string;
}

@ObjectType("OpenSession", { description: "A session that can still be used" })
export class OpenSessionView {
  @IdField({ description: "Names the session without its secret, to end it" })
  id: string;

  @DateTimeField({ description: "When it was opened" })
  createdAt: string;

  @DateTimeField({ description: "When it was last used, to within five minutes" })
  lastUsedAt: string;

  @DateTimeField({ description: "When it ends by itself" })
  expiresAt: string;

  @BooleanField({ description: "Whether it is the one that this request came with" })
  current: boolean;
}

export const OpenSessionList = listOf(OpenSessionView, "OpenSession");
export const OpenSessionConnection = connectionOf(OpenSessionView, "OpenSession");
