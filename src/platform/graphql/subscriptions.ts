import { randomUUID } from "node:crypto";
import { type ArgumentsHost, Logger } from "@nestjs/common";
import { GqlArgumentsHost } from "@nestjs/graphql";
import { GraphQLError } from "graphql";
import { internalError } from "../problems/answer.js";
import type { Problem } from "../problems/problem.js";
import { toProblem } from "../problems/to-problem.js";

export function isOfSubscription(host: ArgumentsHost): boolean {
  const info = GqlArgumentsHost.create(host).getInfo<{ operation?: { operation: string } } | undefined>();
  return info?.operation?.operation === "subscription";
}

/** Errors of subscriptions are sent as they are thrown, past what formats those of queries. */
export function asSubscriptionError(error: unknown): GraphQLError {
  const foreseen = toProblem(error);
  if (foreseen) return withCode(foreseen);
  const id = randomUUID();
  new Logger("GraphQL").error(error, `unforeseen error ${id}`);
  return withCode(internalError(id));
}

function withCode(problem: Problem): GraphQLError {
  return new GraphQLError(problem.detail, { extensions: problem.toExtensions() });
}
