import { PassThrough } from "node:stream";
import { setTimeout as delay } from "node:timers/promises";
import { describe, expect, it } from "@jest/globals";
import type { FastifyInstance, FastifyReply, FastifyRequest } from "fastify";
import { buildSchema, execute, getIntrospectionQuery, parse } from "graphql";
import { guardResolvers } from "./guard-resolvers.js";
import type { OperationBudget } from "./operation-budget.js";
import { beforeExecution, runOperation } from "./run-operation.js";

type Library = FastifyInstance["graphql"];
type Context = { budget: OperationBudget | undefined };

const LIMIT_MS = 20;
const schema = guardResolvers(buildSchema("type Query { first: Thing } type Thing { next: Thing text: String }"));

function run(library: (source: string, context: Context) => unknown) {
  const reply = {
    raw: new PassThrough(),
    statusCode: 200,
    status(code: number) {
      this.statusCode = code;
      return this;
    },
    header: () => reply,
  };
  const request = { method: "POST" } as FastifyRequest;
  const parameters = { query: "{ first { next { text } } }" };
  const exchange = {
    request,
    reply: reply as unknown as FastifyReply,
    origin: { readRevision: async () => "", revision: null },
  };
  const answer = runOperation(library as Library, parameters, exchange, LIMIT_MS);
  return { answer, reply };
}

describe("an operation that takes longer than it may", () => {
  it("is answered 503 when it is a query, and nothing more of it is resolved", async () => {
    const slow = Promise.withResolvers<void>();
    let isRead = false;
    let ended: Promise<unknown> = Promise.resolve();
    const first = async () => {
      await slow.promise;
      return {
        get next() {
          isRead = true;
          return { text: "late" };
        },
      };
    };
    const { answer, reply } = run((source, contextValue) => {
      ended = Promise.resolve(execute({ schema, document: parse(source), rootValue: { first }, contextValue }));
      return ended;
    });
    const { errors } = await answer;
    expect([reply.statusCode, errors?.[0]?.extensions?.code]).toEqual([503, "query-time-limit"]);
    slow.resolve();
    await ended;
    expect(isRead).toBe(false);
  });

  it("is carried to its end when it is a change", async () => {
    const { answer, reply } = run(async (_, context) => {
      // As is done where the operation is known.
      context.budget = undefined;
      await delay(5 * LIMIT_MS);
      return { data: { done: true } };
    });
    expect([await answer, reply.statusCode]).toEqual([{ data: { done: true } }, 200]);
  });
});

it("questions for the schema are carried out one after the other", async () => {
  const begin = async () => {
    const req = { ip: "192.0.2.1", headers: {}, socket: { remoteAddress: "192.0.2.1" } };
    const context = { req, operationName: null, releases: [] as (() => void)[], budget: undefined, origin: {} };
    await beforeExecution(schema, parse(getIntrospectionQuery()), context, {});
    return () => {
      for (const release of context.releases) release();
    };
  };
  const endFirst = await begin();
  let hasSecondBegun = false;
  const second = begin().then((end) => {
    hasSecondBegun = true;
    return end;
  });
  await delay(10);
  expect(hasSecondBegun).toBe(false);
  endFirst();
  (await second)();
});
