import { expect, it } from "@jest/globals";
import { CheckedQueries } from "./checked-queries.js";

class Page {
  constructor(readonly tags: readonly string[]) {}
}
class Other {}

it("a query is checked once for a class, by its texts and their order, and what it came to cannot be changed", async () => {
  const queries = new CheckedQueries();
  let checks = 0;
  const ask = (type: typeof Page | typeof Other, query: object) =>
    queries.of(type, query, async () => {
      checks++;
      return new Page(["a", "b"]);
    });
  const first = await ask(Page, { tags: ["a", "b"] });
  expect(await ask(Page, { tags: ["a", "b"] })).toBe(first);
  expect(checks).toBe(1);
  const { tags } = first as { tags: string[] };
  expect(() => tags.push("c")).toThrow(TypeError);
  expect(() => Object.assign(first, { tags: [] })).toThrow(TypeError);
  for (const [type, query] of [
    [Other, { tags: ["a", "b"] }],
    [Page, { tags: ["b", "a"] }],
    [Page, { tags: "a,b" }],
    [Page, { tags: ["a,b"] }],
    [Page, {}],
  ] as const) {
    expect(await ask(type, query)).not.toBe(first);
  }
  expect(checks).toBe(6);
});

it("a query that is refused, or long, is checked each time", async () => {
  const queries = new CheckedQueries();
  const refuse = () => queries.of(Page, { tags: "x" }, () => Promise.reject(new Error("refused")));
  await expect(refuse()).rejects.toThrow("refused");
  expect(await queries.of(Page, { tags: "x" }, async () => new Page([]))).toEqual(new Page([]));
  const long = { tags: "x".repeat(600) };
  const one = await queries.of(Page, long, async () => new Page([]));
  expect(await queries.of(Page, long, async () => new Page([]))).not.toBe(one);
});
