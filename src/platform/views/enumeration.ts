import { registerEnumType } from "@nestjs/graphql";

/** A closed set of words: as it is in REST, in upper snake case in GraphQL (`power-10s`, `POWER_10S`). */
export interface Enumeration<T extends string> {
  /** Name of the type in GraphQL. */
  readonly name: string;
  readonly description: string;
  /** What each word means. */
  readonly meanings: Readonly<Record<T, string>>;
}

const graphqlTypes = new WeakMap<readonly string[], object>();

/** Declares a closed set once for both APIs; fields name it by the list of its words. */
export function declareEnum<T extends string>(values: readonly T[], { name, description, meanings }: Enumeration<T>) {
  const type = Object.fromEntries(values.map((value) => [graphqlNameOf(value), value]));
  const valuesMap = Object.fromEntries(values.map((value) => [graphqlNameOf(value), { description: meanings[value] }]));
  registerEnumType(type, { name, description, valuesMap });
  graphqlTypes.set(values, type);
}

/** The GraphQL type of a list of words that was declared. */
export function graphqlEnumOf(values: readonly string[]): object {
  const type = graphqlTypes.get(values);
  if (!type) throw new Error(`no enumeration is declared for: ${values.join(", ")}`);
  return type;
}

function graphqlNameOf(word: string): string {
  return word.replaceAll("-", "_").toUpperCase();
}
