import { Module } from "@nestjs/common";
import { GraphQLModule } from "@nestjs/graphql";
import type { MercuriusDriverConfig } from "@nestjs/mercurius";
import type { MercuriusOptions } from "mercurius";
import { MAX_TOKENS } from "./document.js";
import { formatErrors, replicaFailureOf } from "./errors.js";
import { beforeExecution } from "./execution/run-operation.js";
import { GraphqlEndpoint } from "./http/endpoint.js";
import { SchemaDriver } from "./schema-driver.js";

/** The standard introspection query is 14 deep. */
const MAX_QUERY_DEPTH = 16;
/** Documents that are remembered; one may take half a megabyte. */
const REMEMBERED_DOCUMENTS = 40;
/** A document is compiled when it has been sent so often: what is sent once is not worth it. */
const COMPILED_AFTER = 10;

/** The schema, made from the classes of the features, and what runs its operations. */
const Schema = GraphQLModule.forRoot<MercuriusDriverConfig>({
  driver: SchemaDriver,
  autoSchemaFile: true,
  // The introspection that it would ask itself takes a tenth of a start; the contract's check and tests ask the same.
  buildSchemaOptions: { skipCheck: true },
  routes: false,
  graphiql: false,
  jit: COMPILED_AFTER,
  cache: REMEMBERED_DOCUMENTS,
  queryDepth: MAX_QUERY_DEPTH,
  graphql: { parseOptions: { maxTokens: MAX_TOKENS } },
  hooks: { preExecution: beforeExecution },
  errorFormatter: (execution, context) => {
    const failure = replicaFailureOf(execution);
    if (failure) throw failure;
    return formatErrors(execution, context) as ReturnType<NonNullable<MercuriusOptions["errorFormatter"]>>;
  },
});

/** GraphQL at /graphql. */
@Module({ imports: [Schema], providers: [GraphqlEndpoint] })
export class GraphqlModule {}
