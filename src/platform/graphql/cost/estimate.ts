import { type GraphQLField, getNamedType, getNullableType, isLeafType, isListType, isObjectType } from "graphql";
import type { ComplexityEstimator, ComplexityEstimatorArgs } from "graphql-query-complexity";
import { introspectionSize, listSize, pageSize, valueListSize } from "./list-sizes.js";

/** What a field at the root costs beside its answer: it asks the database. */
const ROOT_COST = 400;
/** Root fields that read traces or many runs. */
const HEAVY_ROOTS: ReadonlySet<string> = new Set([
  "trace",
  "readings",
  "packModel",
  "packValidation",
  "comparison",
  "ladder",
  "evidence",
  "evaluationChanges",
]);
const HEAVY_ROOT_COST = 2_000;
/** Of each pack that a use is predicted for, which a thread computes. */
const COST_OF_PREDICTION = 1_000;
/** Of each pack whose energy is told at some twenty powers, which a thread computes. */
const COST_OF_ENERGY = 1_000;
/** A class of packs is followed through a use by the threads, once in one operation. */
const COST_OF_SELECTION = 15_000;
/** A number in a list costs less than a field: nothing resolves it. */
const COST_OF_LISTED_VALUE = 0.1;
const COST_OF_JSON = 50;
const COST_OF_TYPE_LOOKUP = 50;

const isRoot = (type: string) => ["Query", "Mutation", "Subscription"].includes(type);
const isConnection = (field: GraphQLField<unknown, unknown>) => {
  const type = getNamedType(field.type);
  return isObjectType(type) && "edges" in type.getFields();
};

/**
 * The cost of one field with what is selected below it: one for each value of the answer, times the sizes of the lists
 * above. The edges of a connection are counted where its page size is said.
 */
export function estimatorWith(introspectionShare: number): ComplexityEstimator {
  return ({ type, field, node, args, childComplexity }: ComplexityEstimatorArgs) => {
    const name = node.name.value;
    if (name === "__schema" || name === "__type") return COST_OF_TYPE_LOOKUP + introspectionShare * childComplexity;
    if (type.name.startsWith("__")) return introspectionSize(name) * (1 + childComplexity);
    const own = isRoot(type.name) && name !== "__typename" ? rootCost(name, args) : 1;
    if (isConnection(field)) return own + pageSize(args) * childComplexity;
    if (isLeafType(getNamedType(field.type))) return own + leafCost(type.name, field);
    if (!isListType(getNullableType(field.type)) || isPageOf(type)) return own + childComplexity;
    return own + listSize(type.name, name, args) * (1 + childComplexity);
  };
}

/** Whether a type is a connection, whose lists hold one page. */
function isPageOf(type: ComplexityEstimatorArgs["type"]): boolean {
  return isObjectType(type) && "edges" in type.getFields();
}

function rootCost(name: string, args: Readonly<Record<string, unknown>>): number {
  if (name === "predictions") return ROOT_COST + COST_OF_PREDICTION * packsIn(args);
  if (name === "energyAgainstPower") return ROOT_COST + COST_OF_ENERGY;
  if (name === "energyComparison") return ROOT_COST + COST_OF_ENERGY * lengthOf(args.packs);
  if (name === "selection") return ROOT_COST + COST_OF_SELECTION;
  return HEAVY_ROOTS.has(name) ? HEAVY_ROOT_COST : ROOT_COST;
}

/** How many packs an input names. */
function packsIn({ input }: Readonly<Record<string, unknown>>): number {
  return lengthOf(typeof input === "object" && input !== null && "packIds" in input ? input.packIds : null);
}

const lengthOf = (named: unknown): number => (Array.isArray(named) ? named.length : 1);

function leafCost(type: string, field: GraphQLField<unknown, unknown>): number {
  if (getNamedType(field.type).name === "JsonObject") return COST_OF_JSON;
  return isListType(getNullableType(field.type)) ? valueListSize(type, field.name) * COST_OF_LISTED_VALUE : 0;
}
