import { readFileSync } from "node:fs";
import { describe, expect, it } from "@jest/globals";
import {
  buildSchema,
  getIntrospectionQuery,
  getNamedType,
  getNullableType,
  isLeafType,
  isListType,
  isObjectType,
  parse,
} from "graphql";
import { Problem } from "../../problems/problem.js";
import { costOf, MAX_COST } from "./cost-of.js";
import { namedLists } from "./list-sizes.js";

const schema = buildSchema(`
  type Query {
    things(first: Int, last: Int, after: String): RunConnection!
    many(ids: [ID!]!): [Run!]!
    thing: Run
  }
  type RunConnection { edges: [RunEdge!]! pageInfo: PageInfo! }
  type RunEdge { node: Run! cursor: String! }
  type PageInfo { hasNextPage: Boolean! }
  type Run { id: ID! name: String figures: [Figure!]! things(first: Int): RunConnection! }
  type Figure { key: String! }
`);
const cost = (query: string, variables?: Record<string, unknown>, operationName?: string) =>
  costOf(schema, { document: parse(query), variables, operationName });
const codeOf = (ask: () => unknown) => {
  try {
    ask();
    return null;
  } catch (error) {
    return (error as Problem).code;
  }
};
const names = (first: string) => `{ things${first} { edges { node { id name } } } }`;
const marginal = (first: number) => cost(names(`(first: ${first})`)) - cost(names("(first: 0)"));

describe("the cost of an operation", () => {
  it("grows with the size of a page, whether it is written out, a variable, its default, or from the end", () => {
    expect(marginal(40)).toBe(4 * marginal(10));
    const asked = "query($n: Int = 40) { things(first: $n) { edges { node { id name } } } }";
    const written = cost(names("(first: 40)"));
    expect(cost(asked)).toBe(written);
    expect(cost(asked, { n: 40 })).toBe(written);
    expect(cost(asked, { n: 10 })).toBeLessThan(written);
    expect(cost(names("(last: 40)"))).toBe(written);
    expect(cost(names(""))).toBe(cost(names("(first: 25)")));
  });

  it("multiplies what lies inside lists", () => {
    const inner = (first: number) =>
      cost(`{ things(first: 10) { edges { node { things(first: ${first}) { edges { node { id } } } } } } }`);
    expect(inner(20) - inner(10)).toBe(inner(10) - inner(0));
    expect(inner(20) - inner(10)).toBeGreaterThanOrEqual(10 * 10);
    expect(cost("{ thing { figures { key } } }") - cost("{ thing { id } }")).toBeGreaterThanOrEqual(100);
  });

  it("counts every alias, and a fragment wherever it is spread", () => {
    const one = "things(first: 10) { edges { node { id } } }";
    expect(cost(`{ a: ${one} b: ${one} c: ${one} }`)).toBe(3 * cost(`{ ${one} }`));
    const spread = "fragment F on Run { figures { key } }";
    expect(cost(`{ a: thing { ...F } b: thing { ...F } } ${spread}`)).toBe(2 * cost(`{ thing { ...F } } ${spread}`));
    expect(cost(`{ thing { ... on Run { id } } }`)).toBe(cost("{ thing { id } }"));
  });

  it("counts as many objects as there are ids", () => {
    const many = (count: number) =>
      cost("query($ids: [ID!]!) { many(ids: $ids) { id } }", { ids: Array(count).fill("1") });
    expect(many(30) - many(20)).toBe(many(20) - many(10));
    expect(many(2_000 - 10)).toBeLessThan(MAX_COST);
  });

  it("leaves out what a directive leaves out, and the operations that are not asked for", () => {
    const skipped = "query($no: Boolean!) { thing { id figures @include(if: $no) { key } } }";
    expect(cost(skipped, { no: false })).toBe(cost("{ thing { id } }"));
    expect(cost(skipped, { no: true })).toBeGreaterThan(cost(skipped, { no: false }));
    const two = "query A { thing { id } } query B { things(first: 50) { edges { node { id } } } }";
    expect(cost(two, {}, "A")).toBe(cost("{ thing { id } }"));
  });
});

describe("too much", () => {
  it.each([
    ["a large page of large lists", "{ things(first: 100) { edges { node { figures { key } } } } }"],
    ["many aliases at the root", `{ ${Array.from({ length: 60 }, (_, i) => `a${i}: thing { id }`).join(" ")} }`],
    ["pages in pages", "{ things(first: 100) { edges { node { things(first: 100) { edges { cursor } } } } } }"],
    ["many schemas", `{ ${Array.from({ length: 1_000 }, (_, i) => `a${i}: __schema { types { name } }`).join(" ")} }`],
    ["many types", `{ ${Array.from({ length: 1_000 }, (_, i) => `a${i}: __type(name: "Run") { name }`).join(" ")} }`],
    [
      "fragments that multiply",
      `{ thing { ...F0 } } ${Array.from({ length: 40 }, (_, i) => `fragment F${i} on Run { ${`... on Run { ...F${i + 1} } `.repeat(9)} }`).join(" ")} fragment F40 on Run { id }`,
    ],
  ])("is refused: %s", (_, query) => {
    expect(codeOf(() => cost(query))).toBe("query-too-expensive");
  });

  it("is not what a screen shows", () => {
    expect(
      cost("{ things(first: 25) { edges { node { id name figures { key } } } pageInfo { hasNextPage } } }"),
    ).toBeLessThan(MAX_COST);
  });
});

it("takes the standard introspection query with all its options, of this schema and of the service's, at the same cost", () => {
  // GraphQL.js, getIntrospectionQuery: what tools send.
  const query = getIntrospectionQuery({
    descriptions: true,
    specifiedByUrl: true,
    directiveIsRepeatable: true,
    schemaDescription: true,
    inputValueDeprecation: true,
    oneOf: true,
  });
  const service = buildSchema(readFileSync("contracts/schema.graphql", "utf8"));
  for (const one of [schema, service]) {
    const asked = costOf(one, { document: parse(query) });
    expect(asked).toBeGreaterThan(MAX_COST / 4);
    expect(asked).toBeLessThan((MAX_COST * 3) / 4);
  }
});

it("refuses an operation that is not there, and a variable that does not fit", () => {
  expect(codeOf(() => cost("query A { thing { id } }", {}, "B"))).toBe("malformed-query");
  expect(codeOf(() => cost("query A { thing { id } } query B { thing { id } }"))).toBe("malformed-query");
  expect(codeOf(() => cost("query($n: Int!) { things(first: $n) { edges { cursor } } }", {}))).toBe("malformed-query");
});

it("knows the size of every list of the service's schema that has no pages and no ids, and of none that it has not", () => {
  const service = buildSchema(readFileSync("contracts/schema.graphql", "utf8"));
  const types = Object.values(service.getTypeMap()).filter(isObjectType);
  const isPage = (fields: object) => "edges" in fields && "pageInfo" in fields;
  const lists = types
    .filter(({ name }) => !name.startsWith("__"))
    .flatMap((type) => {
      const fields = Object.values(type.getFields()).filter(({ type: its }) => isListType(getNullableType(its)));
      const sized = fields.filter(
        ({ name, args }) => !args.some((arg) => arg.name === "ids") && !(isPage(type.getFields()) && name === "edges"),
      );
      return sized.map((field) => ({ at: `${type.name}.${field.name}`, isLeaf: isLeafType(getNamedType(field.type)) }));
    });
  const named = (isLeaf: boolean) =>
    lists
      .filter((list) => list.isLeaf === isLeaf)
      .map(({ at }) => at)
      .sort();
  expect(namedLists("objects").sort()).toEqual(named(false));
  expect(namedLists("values").sort()).toEqual(named(true));
});
