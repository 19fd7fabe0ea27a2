import {
  defaultFieldResolver,
  type GraphQLField,
  type GraphQLFieldResolver,
  type GraphQLSchema,
  getNamedType,
  isLeafType,
  isObjectType,
} from "graphql";
import type { OperationBudget } from "./operation-budget.js";
import { turns } from "./turns.js";

/** What an operation's resolvers share; one that comes without a budget is not held to any. */
export interface GuardedContext {
  readonly budget?: OperationBudget;
}

type Resolver = GraphQLFieldResolver<unknown, GuardedContext | undefined>;

/** The library shares the fields of its introspection among all schemas. */
const guarded = new WeakSet<GraphQLField<unknown, unknown>>();

/** Makes every field of a schema heed the budget of its operation. */
export function guardResolvers(schema: GraphQLSchema): GraphQLSchema {
  for (const type of Object.values(schema.getTypeMap())) {
    if (!isObjectType(type) || type === schema.getSubscriptionType()) continue;
    for (const field of Object.values(type.getFields())) {
      if (guarded.has(field)) continue;
      guarded.add(field);
      field.resolve = guard(field, type === schema.getQueryType());
    }
  }
  return schema;
}

function guard(field: GraphQLField<unknown, unknown>, isRoot: boolean): Resolver {
  const resolve = (field.resolve ?? defaultFieldResolver) as Resolver;
  const heed = isLeafType(getNamedType(field.type)) ? heedSize(resolve) : heedTurns(resolve);
  if (!isRoot) return heed;
  return (source, args, context, info) => {
    const budget = context?.budget;
    return budget ? budget.rootFields.run(() => heed(source, args, context, info)) : heed(source, args, context, info);
  };
}

function heedSize(resolve: Resolver): Resolver {
  return (source, args, context, info) => {
    const budget = context?.budget;
    budget?.check();
    const value = resolve(source, args, context, info);
    if (!budget) return value;
    const counted = (ready: unknown) => {
      budget.spend(info.path.key as string, ready);
      return ready;
    };
    return value instanceof Promise ? value.then(counted) : counted(value);
  };
}

function heedTurns(resolve: Resolver): Resolver {
  return (source, args, context, info) => {
    const budget = context?.budget;
    if (!budget) return resolve(source, args, context, info);
    const checked = () => {
      budget.check();
      return resolve(source, args, context, info);
    };
    return turns.isOver() ? turns.later(checked) : checked();
  };
}
