import { type DocumentNode, GraphQLError, type GraphQLSchema, getIntrospectionQuery, Kind, parse } from "graphql";
import { type ComplexityEstimator, fieldExtensionsEstimator, getComplexity } from "graphql-query-complexity";
import { Problem } from "../../problems/problem.js";
import { operationOf } from "../document.js";
import { estimatorWith } from "./estimate.js";

/** The most that one operation may cost: about the number of values in its answer. */
export const MAX_COST = 20_000;
/** What the standard introspection query costs, however large the schema is. */
const INTROSPECTION_COST = MAX_COST / 2;
/** Selections that are walked at most, with every fragment written out wherever it is spread. */
const MAX_SELECTIONS = 5_000;

export interface Operation {
  readonly document: DocumentNode;
  readonly operationName?: string | null | undefined;
  readonly variables?: Readonly<Record<string, unknown>> | null | undefined;
}

/**
 * What an operation costs, every alias and every item of a list counted; a field may declare its own cost as the
 * extension `complexity`. The document must be valid.
 *
 * @throws Problem `query-too-expensive` above {@link MAX_COST}; `malformed-query` where there is no such operation, or a
 *   variable does not fit
 */
export function costOf(schema: GraphQLSchema, operation: Operation): number {
  const cost = measure(schema, operation, [fieldExtensionsEstimator(), estimatorWith(shareOf(schema))]);
  if (cost <= MAX_COST) return cost;
  throw tooExpensive(`it would cost ${Math.ceil(cost)}`);
}

function measure(
  schema: GraphQLSchema,
  { document, operationName, variables }: Operation,
  estimators: ComplexityEstimator[],
): number {
  const asked = operationOf(document, operationName);
  // The others are not carried out.
  const definitions = document.definitions.filter(
    (definition) => definition === asked || definition.kind === Kind.FRAGMENT_DEFINITION,
  );
  try {
    return getComplexity({
      schema,
      query: { ...document, definitions },
      variables: { ...variables },
      estimators,
      maxQueryNodes: MAX_SELECTIONS,
    });
  } catch (error) {
    if (!(error instanceof GraphQLError)) throw error;
    if (/number of nodes/.test(error.message)) throw tooExpensive("it selects too many fields");
    throw new Problem("malformed-query", error.message);
  }
}

function tooExpensive(why: string): Problem {
  return new Problem(
    "query-too-expensive",
    `An operation may cost at most ${MAX_COST}, one for each value of its answer; ${why}. Ask for fewer fields, smaller pages, or several times.`,
  );
}

const shares = new WeakMap<GraphQLSchema, number>();

function shareOf(schema: GraphQLSchema): number {
  let share = shares.get(schema);
  if (share === undefined) {
    const document = parse(getIntrospectionQuery());
    share = INTROSPECTION_COST / measure(schema, { document }, [estimatorWith(1)]);
    shares.set(schema, share);
  }
  return share;
}
