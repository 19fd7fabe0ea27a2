import { Injectable } from "@nestjs/common";
import { MercuriusDriver, type MercuriusDriverConfig } from "@nestjs/mercurius";
import { type GraphQLSchema, isObjectType, isScalarType, lexicographicSortSchema } from "graphql";
import { describeRoots } from "./describe-roots.js";
import { guardResolvers } from "./execution/guard-resolvers.js";

type Resolve = (...values: unknown[]) => unknown;
/** Of a subscription's field: what begins it, and what makes an answer of what is told. */
interface Subscribed {
  readonly subscribe: Resolve;
  readonly resolve?: Resolve;
}
/** By the names of types and of their fields. */
type Resolvers = Readonly<Record<string, Readonly<Record<string, Resolve | Subscribed>>>>;

/** Made of the classes of the features alone, it is the program's: without what any application answers by. */
let bare: GraphQLSchema | null = null;

/**
 * Runs the schema of the features' classes. Its types are made once a process; every application has a copy of them that holds its
 * own resolvers. Making them takes a quarter of a start.
 */
@Injectable()
export class SchemaDriver extends MercuriusDriver {
  /** @throws Error where a resolver is of a field that the schema has not */
  override async generateSchema(options: MercuriusDriverConfig): Promise<GraphQLSchema> {
    let resolvers: Resolvers[] = [];
    const transformResolvers: MercuriusDriverConfig["transformResolvers"] = (found) => {
      resolvers = [found].flat() as Resolvers[];
      return {};
    };
    const made = bare ? { typeDefs: [], schema: bare } : options;
    const types = (await super.generateSchema({ ...made, transformResolvers })) as GraphQLSchema;
    bare ??= types;
    // The only way that the library has to copy a schema also sorts it.
    const schema = lexicographicSortSchema(types);
    for (const found of resolvers) attach(found, schema);
    return guardResolvers(describeRoots(schema));
  }
}

function attach(resolvers: Resolvers, schema: GraphQLSchema): void {
  for (const [typeName, ofFields] of Object.entries(resolvers)) {
    const type = schema.getType(typeName);
    // How a scalar is read and written is in its type.
    if (isScalarType(type)) continue;
    if (!isObjectType(type)) throw new Error(`"${typeName}" has resolvers, but is no object of the schema`);
    for (const [name, resolver] of Object.entries(ofFields)) {
      const field = type.getFields()[name];
      if (!field) throw new Error(`"${typeName}.${name}" has a resolver, but is no field of the schema`);
      if (typeof resolver === "function") field.resolve = resolver;
      else Object.assign(field, { resolve: resolver.resolve, subscribe: resolver.subscribe });
    }
  }
}
