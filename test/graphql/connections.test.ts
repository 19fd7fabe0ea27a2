import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { getNullableType, isListType, isObjectType } from "graphql";
import { startTestApp, type TestApp } from "../support/app.js";
import { productOf } from "../support/facts.js";
import { SCHEMA } from "../support/graphql-words.js";

// GraphQL Cursor Connections Specification (relay.dev/graphql/connections.htm), its sections named beside the checks.

const CONNECTIONS = Object.values(SCHEMA.getTypeMap())
  .filter(isObjectType)
  .filter((type) => "pageInfo" in type.getFields());

const typesOf = (type: string, ...names: string[]) => {
  const found = SCHEMA.getType(type);
  const fields = isObjectType(found) ? found.getFields() : {};
  return names.map((name) => String(fields[name]?.type));
};

describe("every connection of the schema", () => {
  it("has edges, each with its node and cursor (2, 3)", () => {
    expect(CONNECTIONS.length).toBeGreaterThan(10);
    for (const { name } of CONNECTIONS) {
      const [list] = typesOf(name, "edges");
      expect([name, list]).toEqual([name, expect.stringMatching(/^\[\w+Edge!\]!$/)]);
      const edge = String(list).replace(/[[\]!]/g, "");
      expect([edge, ...typesOf(edge, "cursor", "node")]).toEqual([edge, "String!", expect.stringMatching(/^\w+!$/)]);
      expect(typesOf(name, "pageInfo", "totalCount")).toEqual(["PageInfo!", "Int!"]);
    }
  });

  it("tells the whole of where a page stands (5.1)", () => {
    const names = ["hasPreviousPage", "hasNextPage", "startCursor", "endCursor"];
    expect(typesOf("PageInfo", ...names)).toEqual(["Boolean!", "Boolean!", "String", "String"]);
  });

  it("is paged through from both ends (4.1, 4.2)", () => {
    const names = new Set(CONNECTIONS.map(({ name }) => name));
    const fields = Object.values(SCHEMA.getTypeMap()).flatMap((type) =>
      isObjectType(type) ? Object.values(type.getFields()) : [],
    );
    const paged = fields.filter(({ type }) => !isListType(type) && names.has(String(getNullableType(type))));
    expect(paged.length).toBeGreaterThanOrEqual(CONNECTIONS.length);
    for (const { name, args } of paged) {
      const given = Object.fromEntries(args.map((arg) => [arg.name, String(arg.type)]));
      expect([name, given]).toMatchObject([name, { first: "Int", after: "String", last: "Int", before: "String" }]);
    }
  });
});

describe("a list", () => {
  const NAMES = ["Alpha", "Beta", "Gamma", "Delta", "Epsilon"];
  let app: TestApp;
  beforeAll(async () => {
    app = await startTestApp();
    const headers = await app.signIn("anna");
    for (const name of NAMES) {
      await app.inject({ method: "POST", url: "/v1/packs", payload: productOf(name), headers });
    }
  });
  afterAll(() => app.close());

  interface Packs {
    readonly edges: readonly { readonly cursor: string; readonly node: { readonly name: string } }[];
    readonly pageInfo: Readonly<Record<string, unknown>>;
    readonly totalCount: number;
  }

  async function packs(args: string) {
    const { body } = await app.graphql(`{ packs(${args}) { totalCount edges { cursor node { name } }
      pageInfo { hasPreviousPage hasNextPage startCursor endCursor } } }`);
    const { edges, pageInfo, totalCount } = (body.data as { packs: Packs }).packs;
    const names = edges.map(({ node }) => node.name);
    return { names, pageInfo, totalCount, cursors: edges.map(({ cursor }) => cursor) };
  }

  it("is the same from the back as from the front (4.4)", async () => {
    const all = await packs("first: 10");
    expect([all.names, all.totalCount]).toEqual([NAMES, 5]);
    expect(all.pageInfo).toEqual({
      hasPreviousPage: false,
      hasNextPage: false,
      startCursor: all.cursors[0],
      endCursor: all.cursors[4],
    });
    const back = await packs("last: 2");
    expect([back.names, back.cursors]).toEqual([NAMES.slice(3), all.cursors.slice(3)]);
    expect(back.pageInfo).toMatchObject({ hasPreviousPage: true, hasNextPage: false });
    const before = await packs(`last: 2, before: "${back.pageInfo.startCursor}"`);
    expect(before.names).toEqual(["Beta", "Gamma"]);
    expect(before.pageInfo).toMatchObject({ hasPreviousPage: true, hasNextPage: true });
    const front = await packs(`last: 2, before: "${before.pageInfo.startCursor}"`);
    expect([front.names, front.totalCount]).toEqual([["Alpha"], 5]);
    expect(front.pageInfo).toMatchObject({ hasPreviousPage: false, hasNextPage: true });
    const between = await packs(`first: 2, after: "${all.cursors[0]}", before: "${all.cursors[4]}"`);
    expect(between.names).toEqual(["Beta", "Gamma"]);
  });

  it("refuses both ends at once, and another list's cursor at either", async () => {
    const { body } = await app.graphql("{ packs(first: 1, last: 1) { totalCount } }");
    expect(body.errors?.[0]?.extensions).toMatchObject({ code: "invalid-input", errors: [{ pointer: "/last" }] });
    const [cursor] = (await packs("first: 1, series: 4")).cursors;
    const wrong = await app.inject({ url: `/v1/packs?last=1&before=${cursor ?? "x"}` });
    expect(wrong.json()).toMatchObject({ status: 400, errors: [{ pointer: "/before" }] });
  });
});
