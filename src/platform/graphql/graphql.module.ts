import { GraphQLModule } from "@nestjs/graphql";
import { MercuriusDriver, type MercuriusDriverConfig } from "@nestjs/mercurius";
import type { FastifyReply, FastifyRequest } from "fastify";
import { formatErrors } from "./errors.js";
import { selectionLimit } from "./selection-limit.js";
import { checkSubscription, refuseSubscription } from "./subscriptions.js";

const deepestQuery = 10;

/** GraphQL at /graphql, its schema made from the classes of the features. */
export const GraphQL = GraphQLModule.forRoot<MercuriusDriverConfig>({
  driver: MercuriusDriver,
  path: "/graphql",
  autoSchemaFile: true,
  sortSchema: true,
  jit: 1,
  graphiql: false,
  subscription: {
    context: (_: unknown, request: FastifyRequest) => ({ req: request }),
    keepAlive: 15_000,
  },
  hooks: { preExecution: refuseSubscription, preSubscriptionExecution: checkSubscription },
  queryDepth: deepestQuery,
  validationRules: [selectionLimit],
  errorFormatter: formatErrors,
  context: (req: FastifyRequest, reply: FastifyReply) => ({ req, reply }),
});
