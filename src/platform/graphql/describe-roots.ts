import type { GraphQLSchema } from "graphql";

/** Says what the three kinds of operations are for; the library that makes the schema has no place for it. */
export function describeRoots(schema: GraphQLSchema): GraphQLSchema {
  const [query, mutation, subscription] = [
    schema.getQueryType(),
    schema.getMutationType(),
    schema.getSubscriptionType(),
  ];
  if (query) query.description = "What can be read; each field is null by itself where it fails";
  if (mutation) mutation.description = "What can be changed, one after the other";
  if (subscription) subscription.description = "What is told as it happens, over WebSocket";
  return schema;
}
