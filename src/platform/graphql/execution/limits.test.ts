import { setImmediate as nextTurn } from "node:timers/promises";
import { describe, expect, it } from "@jest/globals";
import { buildSchema, execute, parse } from "graphql";
import type { Problem } from "../../problems/problem.js";
import { Slots } from "../../process/slots.js";
import { parseDocument, readsSchema } from "../document.js";
import { guardResolvers } from "./guard-resolvers.js";
import { InFlight } from "./in-flight.js";
import { OperationBudget } from "./operation-budget.js";

const schema = guardResolvers(
  buildSchema(
    "type Query { things: [Thing!]! next: Thing } type Thing { text: String! numbers: [Float!]! next: Thing }",
  ),
);
const run = (query: string, things: unknown, budget = new OperationBudget()) =>
  execute({ schema, document: parse(query), rootValue: { things, next: {} }, contextValue: { budget } });

describe("the budget of an operation", () => {
  it("lets through what is asked for", async () => {
    const things = [{ text: "a", numbers: [1, 2] }];
    expect(await run("{ things { text numbers } }", things)).toEqual({ data: { things } });
  });

  it.each([
    ["texts", "text", { text: "x".repeat(100_000) }],
    ["numbers", "numbers", { numbers: Array(100_000).fill(1.5) }],
    ["aliases of one text", "a: text b: text c: text", { text: "x".repeat(50_000) }],
  ])("ends an answer of many bytes: %s", async (_, fields, thing) => {
    let read = 0;
    const things = Array.from({ length: 1_000 }, () => ({
      ...thing,
      get next() {
        read++;
        return { text: "" };
      },
    }));
    const budget = new OperationBudget();
    const { data, errors } = await run(`{ things { ${fields} next { text } } }`, things, budget);
    expect([data, budget.problem?.code]).toEqual([null, "answer-too-large"]);
    expect(errors?.map(({ originalError }) => originalError)).toContain(budget.problem);
    expect(read).toBeLessThan(500);
  });

  it("resolves nothing more once it is stopped", async () => {
    const budget = new OperationBudget();
    budget.stop({ code: "query-time-limit" } as Problem);
    let isRead = false;
    await run(
      "{ things { text } }",
      () => {
        isRead = true;
        return [];
      },
      budget,
    );
    expect(isRead).toBe(false);
  });
});

it("gives way to others during a long answer", async () => {
  const slow = () => {
    const until = performance.now() + 1;
    let text = "";
    while (performance.now() < until) text = "x";
    return { text };
  };
  const things = Array.from({ length: 200 }, () => ({ next: slow }));
  let turns = 0;
  let isDone = false;
  const count = async () => {
    while (!isDone) {
      await nextTurn();
      turns++;
    }
  };
  const counted = count();
  const { data } = await run("{ things { next { text } } }", things);
  isDone = true;
  await counted;
  expect(data?.things).toHaveLength(200);
  expect(turns).toBeGreaterThan(15);
});

describe("expensive operations", () => {
  const limits = { cost: 10_000, waiting: 3, waitingOfOne: 2 };

  it("are at work together only as far as they cost little enough, in order", async () => {
    const inFlight = new InFlight(limits);
    const begun: string[] = [];
    const begin = async (name: string, cost: number) => {
      const end = await inFlight.admit(cost, name);
      begun.push(name);
      return end;
    };
    const a = await begin("a", 6_000);
    const b = begin("b", 6_000);
    const c = begin("c", 3_000);
    await begin("cheap", 100);
    expect(begun).toEqual(["a", "cheap"]);
    a();
    a();
    (await b)();
    (await c)();
    expect(begun).toEqual(["a", "cheap", "b", "c"]);
  });

  it("one that costs more than all may together is carried out alone", async () => {
    const inFlight = new InFlight(limits);
    const small = await inFlight.admit(3_000, "a");
    const large = inFlight.admit(50_000, "b");
    small();
    (await large)();
    await inFlight.admit(9_000, "c");
  });

  it("one that is to be alone begins when no other expensive one is at work, and none beside it", async () => {
    const inFlight = new InFlight(limits);
    const begun: string[] = [];
    const begin = async (name: string, isAlone: boolean) => {
      const end = await inFlight.admit(3_000, name, isAlone);
      begun.push(name);
      return end;
    };
    const first = await begin("first", false);
    const alone = begin("alone", true);
    const last = begin("last", false);
    first();
    const end = await alone;
    await inFlight.admit(100, "cheap", true);
    expect(begun).not.toContain("last");
    end();
    await last;
  });

  it.each([
    ["{ __schema { types { name } } }", true],
    ['{ ...Asked } fragment Asked on Query { it: __type(name: "Run") { name } }', true],
    ['{ __typename runs(first: 1) { edges { node { id } } } search(text: "__schema") { id } }', false],
  ])("%s is to be alone: %s", (query, isAlone) => {
    expect(readsSchema(parseDocument(query))).toBe(isAlone);
  });

  it("are refused when too many wait, of one client first", async () => {
    const inFlight = new InFlight(limits);
    await inFlight.admit(10_000, "a");
    void inFlight.admit(5_000, "a");
    void inFlight.admit(5_000, "a");
    await expect(inFlight.admit(5_000, "a")).rejects.toMatchObject({ code: "too-busy" });
    void inFlight.admit(5_000, "b");
    await expect(inFlight.admit(5_000, "c")).rejects.toMatchObject({ code: "too-busy" });
    await inFlight.admit(100, "a");
  });
});

it("slots let so many tasks run at once, and go on after one that fails", async () => {
  const slots = new Slots(2);
  let running = 0;
  let most = 0;
  const task = (fails: boolean) => async () => {
    most = Math.max(most, ++running);
    await nextTurn();
    running--;
    if (fails) throw new Error("wanted");
  };
  const outcomes = await Promise.allSettled([true, false, true, false, false].map((fails) => slots.run(task(fails))));
  expect(outcomes.map(({ status }) => status)).toEqual(["rejected", "fulfilled", "rejected", "fulfilled", "fulfilled"]);
  expect([most, running]).toEqual([2, 0]);
});
