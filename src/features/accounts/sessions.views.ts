import { ObjectType } from "@nestjs/graphql";
import { connectionOf, listOf } from "../../platform/paging/page.js";
import { Id, Instant, Text, YesNo } from "../../platform/views/index.js";

@ObjectType("Session")
export class SessionView {
  @Text({ description: "Sent as `Authorization: Bearer ...`; shown this once", max: 43 })
  token: string;

  @Instant({ description: "When the session ends" })
  expiresAt: string;
}

@ObjectType("OpenSession", { description: "A session that can still be used" })
export class OpenSessionView {
  @Id({ description: "Id" })
  id: string;

  @Instant({ description: "When it was opened" })
  createdAt: string;

  @Instant({ description: "When it was last used, to within five minutes" })
  lastUsedAt: string;

  @Instant({ description: "When it ends by itself" })
  expiresAt: string;

  @YesNo({ description: "Whether it is the one that this request came with" })
  current: boolean;
}

export const OpenSessionList = listOf(OpenSessionView, "OpenSession");
export const OpenSessionConnection = connectionOf(OpenSessionView, "OpenSession");
