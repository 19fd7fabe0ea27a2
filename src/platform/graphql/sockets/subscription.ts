import type { FastifyRequest } from "fastify";
import {
  type DocumentNode,
  type ExecutionArgs,
  GraphQLError,
  type GraphQLSchema,
  Kind,
  type OperationDefinitionNode,
  specifiedRules,
  validate,
} from "graphql";
import type { SubscribePayload } from "graphql-ws";
import { Problem } from "../../problems/problem.js";
import { costOf } from "../cost/cost-of.js";
import { checkDocument, operationOf, parseDocument } from "../document.js";
import { asSubscriptionError } from "../subscriptions.js";

const CONDITIONS: ReadonlySet<string> = new Set(["skip", "include"]);
const UNCONDITIONAL =
  "A subscription takes neither @skip nor @include at its root. Leave the field out, or do not send the subscription.";

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
    const operation = operationOf(document, operationName);
    if (operation.operation !== "subscription") {
      throw new Problem("malformed-query", "A socket takes subscriptions alone. Send anything else over HTTP.");
    }
    if (isConditional(document, operation)) throw new Problem("malformed-query", UNCONDITIONAL);
    const [mistake] = validate(schema, document, specifiedRules, { maxErrors: 1 });
    if (mistake) throw new Problem("malformed-query", mistake.message);
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

/**
 * Whether something is selected at the root under a condition. A subscription must not do so (GraphQL, September 2025, 5.2.4.1, from memory): nothing may be
 * left of it, and which field it is cannot be told before its variables are known.
 */
function isConditional(document: DocumentNode, { selectionSet }: OperationDefinitionNode): boolean {
  const sets = new Set([selectionSet]);
  for (const { selections } of sets) {
    for (const node of selections) {
      if (node.directives?.some(({ name }) => CONDITIONS.has(name.value))) return true;
      if (node.kind === Kind.INLINE_FRAGMENT) sets.add(node.selectionSet);
      if (node.kind !== Kind.FRAGMENT_SPREAD) continue;
      for (const one of document.definitions) {
        if (one.kind === Kind.FRAGMENT_DEFINITION && one.name.value === node.name.value) sets.add(one.selectionSet);
      }
    }
  }
  return false;
}
