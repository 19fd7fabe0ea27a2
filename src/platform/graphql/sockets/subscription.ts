import type { FastifyRequest } from "fastify";
import { type ExecutionArgs, GraphQLError, type GraphQLSchema, specifiedRules, validate } from "graphql";
import type { SubscribePayload } from "graphql-ws";
import { Problem } from "../../problems/problem.js";
import { costOf } from "../cost/cost-of.js";
import { checkDocument, operationOf, parseDocument } from "../document.js";
import { asSubscriptionError } from "../subscriptions.js";

/** What is to be run for a message `subscribe`, held against the schema and the limits; or why it is not. */
export function subscriptionOf(
  schema: GraphQLSchema,
  { query, operationName, variables }: SubscribePayload,
  request: FastifyRequest,
  isTooMany: boolean,
): ExecutionArgs | readonly GraphQLError[] {
  try {
    if (isTooMany) throw new Problem("too-many-listeners", "End another subscription of this socket first.");
    checkDocument(query);
    const document = parseDocument(query);
    const [mistake] = validate(schema, document, specifiedRules, { maxErrors: 1 });
    if (mistake) throw new Problem("malformed-query", mistake.message);
    if (operationOf(document, operationName).operation !== "subscription") {
      throw new Problem("malformed-query", "A socket takes subscriptions alone. Send anything else over HTTP.");
    }
    costOf(schema, { document, operationName, variables: variables ?? null });
    return {
      schema,
      document,
      operationName: operationName ?? null,
      variableValues: variables ?? null,
      contextValue: { req: request },
    };
  } catch (error) {
    return [asSubscriptionError(error)];
  }
}
