import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { GraphQLSchemaHost } from "@nestjs/graphql";
import {
  type GraphQLField,
  type GraphQLInputType,
  type GraphQLObjectType,
  type GraphQLSchema,
  getNamedType,
  isEnumType,
  isInputObjectType,
  isLeafType,
  isListType,
  isNonNullType,
} from "graphql";
import { startTestApp, type TestApp } from "../support/app.js";
import { openGraphqlSocket, type SocketAnswer } from "../support/graphql-socket.js";
import { GRAPHQL_ROWS } from "./graphql-rows.js";
import { ACTORS, type Actor, expectedRefusal, gather, type People } from "./people.js";
import type { Access } from "./rest-rows.js";

let app: TestApp;
let people: People;
let schema: GraphQLSchema;
beforeAll(async () => {
  app = await startTestApp();
  people = await gather(app);
  schema = app.nest.get(GraphQLSchemaHost).schema;
});
afterAll(() => app.close());

const REFUSALS = new Set(["session-required", "role-required", "scope-required"]);

const KINDS = ["Query", "Mutation", "Subscription"] as const;
type Kind = (typeof KINDS)[number];

const fieldsOf = (kind: Kind) => (schema.getType(kind) as GraphQLObjectType | undefined)?.getFields() ?? {};

/** Something of a type that gets past GraphQL itself. */
function sampleOf(type: GraphQLInputType): unknown {
  if (isNonNullType(type)) return sampleOf(type.ofType);
  if (isListType(type)) return [];
  // The last of the decisions leaves a run as private as it is.
  if (isEnumType(type)) return type.getValues().at(-1)?.name;
  if (isInputObjectType(type)) {
    const needed = Object.values(type.getFields()).filter((field) => isNonNullType(field.type));
    return Object.fromEntries(needed.map((field) => [field.name, sampleOf(field.type)]));
  }
  if (type.name === "ID") return people.runId;
  if (type.name === "Boolean") return false;
  if (type.name === "DateTime") return "2026-05-02T09:12:00Z";
  return type.name === "String" ? "x" : type.name === "JsonObject" ? {} : 1;
}

/** Arguments that are not about a run but about one of its evaluations. */
function knownOf(argument: string): string | null {
  return argument === "from" || argument === "to" ? people.evaluationId : null;
}

function ask(kind: Kind, field: GraphQLField<unknown, unknown>, actor: Actor) {
  const args = field.args.filter(({ type }) => isNonNullType(type));
  const given = args.map(({ name }) => `${name}: $${name}`).join(", ");
  const declared = args.map(({ name, type }) => `$${name}: ${type}`).join(", ");
  const selection = isLeafType(getNamedType(field.type)) ? "" : "{ __typename }";
  const head = `${kind.toLowerCase()}${declared ? `(${declared})` : ""}`;
  const document = `${head} { ${field.name}${given ? `(${given})` : ""} ${selection} }`;
  const variables = Object.fromEntries(args.map(({ name, type }) => [name, knownOf(name) ?? sampleOf(type)]));
  const headers = people.headers[actor];
  return kind === "Subscription" ? listen(document, variables, headers) : answerTo(document, variables, headers);
}

interface Told {
  readonly status: number;
  readonly extensions: { readonly code?: unknown; readonly status?: unknown };
}

async function answerTo(document: string, variables: object, headers: Record<string, string>): Promise<Told> {
  const { status, body } = await app.graphql(document, { variables, headers });
  return { status, extensions: body.errors?.[0]?.extensions ?? {} };
}

/** The first answer of a subscription, over a socket that is opened with the caller's session or key. */
async function listen(document: string, variables: object, headers: Record<string, string>): Promise<Told> {
  const socket = await openGraphqlSocket(app.url, headers);
  try {
    const { value } = await socket.subscribe(document, variables).next();
    expect(value).toBeDefined();
    return { status: 200, extensions: (value as SocketAnswer).errors?.[0]?.extensions ?? {} };
  } finally {
    socket.close();
  }
}

describe("GraphQL", () => {
  it("has a row for every field of Query, Mutation and Subscription, and no row more", () => {
    const fields = KINDS.flatMap((kind) => Object.keys(fieldsOf(kind)).map((name) => `${kind}.${name}`));
    expect(Object.keys(GRAPHQL_ROWS).sort()).toEqual(fields.sort());
  });

  it.each(Object.entries(GRAPHQL_ROWS) as [string, Access][])("%s is %s", async (row, access) => {
    const [kind, name] = row.split(".") as [Kind, string];
    const field = fieldsOf(kind)[name];
    expect(field).toBeDefined();
    if (!field) return;
    const needsSession = kind === "Mutation" || ["Query.appeal", "Query.runCopies", "Query.runHistory"].includes(row);
    for (const actor of ACTORS) {
      const { status, extensions } = await ask(kind, field, actor);
      expect([actor, status < 500]).toEqual([actor, true]);
      const { code, status: told } = extensions;
      const isOut = REFUSALS.has(String(code)) || (access.endsWith("run") && told === 404);
      expect([actor, isOut ? told : null]).toEqual([
        actor,
        expectedRefusal(access, actor, needsSession, kind !== "Mutation"),
      ]);
    }
  });
});
