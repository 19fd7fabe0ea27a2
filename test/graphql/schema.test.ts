import { describe, expect, it } from "@jest/globals";
import {
  type GraphQLArgument,
  type GraphQLField,
  type GraphQLInputField,
  getNamedType,
  isEnumType,
  isInputObjectType,
  isInterfaceType,
  isNonNullType,
  isObjectType,
  isSpecifiedScalarType,
} from "graphql";
import { SCHEMA } from "../support/graphql-words.js";

const TYPES = Object.values(SCHEMA.getTypeMap()).filter(({ name }) => !name.startsWith("__"));

type Member = readonly [string, GraphQLField<unknown, unknown> | GraphQLArgument | GraphQLInputField];

/** Every member of the schema that has a type: fields, arguments and members of inputs, by where they stand. */
const MEMBERS: readonly Member[] = TYPES.flatMap((type): Member[] => {
  if (isInputObjectType(type)) {
    return Object.values(type.getFields()).map((field) => [`${type.name}.${field.name}`, field]);
  }
  if (!isObjectType(type) && !isInterfaceType(type)) return [];
  return Object.values(type.getFields()).flatMap((field): Member[] => [
    [`${type.name}.${field.name}`, field],
    ...field.args.map((arg): Member => [`${type.name}.${field.name}(${arg.name})`, arg]),
  ]);
});

describe("the GraphQL schema", () => {
  it("lets one thing asked for fail without the others: every root field is nullable", () => {
    const roots = [SCHEMA.getQueryType(), SCHEMA.getMutationType()].flatMap((type) =>
      Object.values(type?.getFields() ?? {}),
    );
    expect(roots.length).toBeGreaterThan(50);
    expect(roots.filter(({ type }) => isNonNullType(type)).map(({ name }) => name)).toEqual([]);
  });

  it("has ids as ID and instants as DateTime", () => {
    const typeOf = (of: RegExp) =>
      new Map(MEMBERS.filter(([, { name }]) => of.test(name)).map(([at, { type }]) => [at, getNamedType(type).name]));
    const ids = typeOf(/^(id|ids|\w+Ids?|tiedWith|independentOf|rules|failedRules)$/);
    expect(ids.size).toBeGreaterThan(40);
    expect([...ids].filter(([, type]) => type !== "ID")).toEqual([]);
    const times = typeOf(/^(at|since|until|\w+At)$/);
    // Seconds of a trace or of a use, not times of a day.
    for (const mark of ["Query.comparison(at)", "Query.readings(at)", "UseLimit.at"])
      expect(times.delete(mark)).toBe(true);
    expect(times.size).toBeGreaterThan(20);
    expect([...times].filter(([, type]) => type !== "DateTime")).toEqual([]);
  });

  it("names values of enumerations in upper snake case, each with its meaning (GraphQL specification, 2.9.6 and 3.9)", () => {
    const values = TYPES.flatMap((type) => (isEnumType(type) ? type.getValues() : []));
    expect(values.length).toBeGreaterThan(100);
    expect(values.filter(({ name }) => !/^[A-Z][A-Z0-9]*(_[A-Z0-9]+)*$/.test(name))).toEqual([]);
    expect(values.filter(({ description }) => !description)).toEqual([]);
  });

  it("describes every type, field, argument, input and value by more than its name", () => {
    const values = TYPES.flatMap((type) =>
      isEnumType(type) ? type.getValues().map((value) => [`${type.name}.${value.name}`, value] as const) : [],
    );
    const types = TYPES.filter((type) => !isSpecifiedScalarType(type)).map((type) => [type.name, type] as const);
    const described: readonly (readonly [string, { readonly name: string; readonly description?: unknown }])[] = [
      ...types,
      ...MEMBERS,
      ...values,
    ];
    expect(described.length).toBeGreaterThan(1_000);
    const poor = described.filter(([at, { description }]) => saysNothing(at, String(description ?? "")));
    expect(poor.map(([at, { description }]) => [at, description])).toEqual([]);
  });

  it("knows descriptions that say nothing", () => {
    for (const [at, description] of [
      ["Run.id", "Id"],
      ["Figure.unit", "The unit"],
      ["Query.pack(packId)", "Id of the pack"],
      ["CopyAgreement.channel", ""],
      ["Review.createdAt", "When"],
      ["Mutation.createPack(input)", "What is sent"],
    ] as const) {
      expect([at, saysNothing(at, description)]).toEqual([at, true]);
    }
    expect(saysNothing("Figure.unit", "Symbol of the unit, such as W")).toBe(false);
  });
});

const LITTLE_WORDS = new Set(
  "the a an of in its is it this that what which who when where why how many name number sent before after until one".split(
    " ",
  ),
);
const wordsOf = (text: string) =>
  text
    .replace(/([a-z])([A-Z])/g, "$1 $2")
    .toLowerCase()
    .match(/[a-z]+/g) ?? [];
const singular = (word: string) => word.replace(/s$/, "");

/** Whether a description has no word beyond those of where it stands. */
function saysNothing(at: string, description: string): boolean {
  const known = new Set(wordsOf(at).map(singular));
  return wordsOf(description).every((word) => LITTLE_WORDS.has(word) || known.has(singular(word)));
}
