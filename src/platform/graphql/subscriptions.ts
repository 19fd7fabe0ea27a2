import { randomUUID } from "node:crypto";
import { type ArgumentsHost, Logger } from "@nestjs/common";
import { GqlArgumentsHost } from "@nestjs/graphql";
import { type DocumentNode, GraphQLError, type GraphQLSchema, Kind, specifiedRules, validate } from "graphql";
import { internalError } from "../problems/answer.js";
import { Problem } from "../problems/problem.js";
import { toProblem } from "../problems/to-problem.js";
import { selectionLimit } from "./selection-limit.js";

/** Holds a subscription against the schema and the limits of queries; the library itself runs whatever it can parse. */
export async function checkSubscription(schema: GraphQLSchema, document: DocumentNode): Promise<void> {
  const [mistake] = validate(schema, document, [...specifiedRules, selectionLimit], { maxErrors: 1 });
  if (mistake) throw withCode(new Problem("malformed-query", mistake.message));
}

/** A subscription is asked for over WebSocket; what comes by POST or GET is answered once. */
export async function refuseSubscription(_: GraphQLSchema, document: DocumentNode): Promise<void> {
  const asks = document.definitions.some(
    (one) => one.kind === Kind.OPERATION_DEFINITION && one.operation === "subscription",
  );
  if (asks) throw new Problem("malformed-query", "Subscriptions are served over WebSocket at this address.");
}

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
