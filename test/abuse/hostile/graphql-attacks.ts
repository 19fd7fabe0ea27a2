import { request } from "node:http";
import { getIntrospectionQuery } from "graphql";
import { Answers, type Attack } from "./attack.js";

const range = (count: number) => Array.from({ length: count }, (_, index) => index);
const aliases = (count: number, field: string) =>
  range(count)
    .map((index) => `a${index}: ${field}`)
    .join(" ");

const FIGURES = "figures { key value unit uncertainty basis bound load budget { source uncertainty } }";

/** Documents of a few kilobytes that ask for very much. */
const documents: Readonly<Record<string, { readonly query: string; readonly variables?: object }>> = {
  "figures and budgets of 50 runs under 24 aliases": {
    query: `{ runs(first: 50) { edges { node { id ${aliases(24, FIGURES)} } } } }`,
  },
  "24 times 50 runs at the root": {
    query: `{ ${aliases(24, `runs(first: 50) { edges { node { id ${FIGURES} } } }`)} }`,
  },
  "20 times 50 runs at the root": {
    query: `{ ${aliases(20, `runs(first: 50) { edges { node { id ${FIGURES} } } }`)} }`,
  },
  "the page size in a variable": {
    query: `query($n: Int) { runs(first: $n) { edges { node { id ${aliases(24, FIGURES)} } } } }`,
    variables: { n: 50 },
  },
  "figures by fragments in fragments": {
    query: `{ runs(first: 50) { edges { node { id ...A } } } }
      fragment A on Run { ${aliases(24, "figures { ...F }")} }
      fragment F on Figure { key value unit uncertainty budget { ...B } }
      fragment B on BudgetPart { source uncertainty }`,
  },
  "fragments that multiply": {
    query: `{ packs { edges { node { ...F0 } } } } ${range(12)
      .map(
        (level) =>
          `fragment F${level} on Pack { ${range(9)
            .map(() => `... on Pack { ...F${level + 1} }`)
            .join(" ")} }`,
      )
      .join(" ")} fragment F12 on Pack { id }`,
  },
  "1,000 times the schema": { query: `{ ${aliases(1_000, "__schema { types { name fields { name } } }")} }` },
  "types of types of types": {
    query: `{ __schema { types { fields { type { fields { type { fields { type { fields { name } } } } } } } } } }`,
  },
  "1,000 times one type": { query: `{ ${aliases(1_000, '__type(name: "Run") { fields { name type { name } } }')} }` },
  "1,000 directives": { query: `{ packs { edges { cursor ${"@include(if: true) ".repeat(1_000)} } } }` },
  "10,000 times one field": { query: `{ packs { edges { ${"cursor ".repeat(10_000)} } } }` },
  "a long list of arguments": {
    query: `{ comparison(packs: "${range(4_000).join(",")}") { columns { id } } }`,
  },
};

/** Documents just cheap enough to be carried out. */
const allowed: Readonly<Record<string, { readonly query: string }>> = {
  "50 runs with their figures": { query: "{ runs(first: 50) { edges { node { id figures { key value } } } } }" },
  "45 lists at the root": { query: `{ ${aliases(45, "runs(first: 5) { edges { node { id } } }")} }` },
  "the standard introspection query": { query: getIntrospectionQuery({ inputValueDeprecation: true }) },
  "9 rankings": {
    query: `{ ${aliases(9, "ranking(figure: POWER_10S, first: 100) { edges { node { value pack { name } } } }")} }`,
  },
};

/** Sends one document so many times at once. */
function atOnce(name: string, times: number, bodyOf: (index: number) => unknown): Attack {
  return {
    name: `${times} x ${name}`,
    async attack(base) {
      const answers = new Answers();
      await Promise.all(range(times).map(async (index) => answers.add(await send(base, bodyOf(index)))));
      return answers.outcome();
    },
  };
}

/** Sends a body to /graphql; the status of the answer with the codes of its errors. */
function send(base: string, body: unknown): Promise<string> {
  return new Promise((resolve) => {
    const headers = { "content-type": "application/json", accept: "application/graphql-response+json" };
    const asked = request(`${base}/graphql`, { method: "POST", headers, agent: false }, (answer) => {
      const chunks: Buffer[] = [];
      answer.on("data", (chunk: Buffer) => {
        if (chunks.length < 4) chunks.push(chunk);
      });
      answer.on("end", () => {
        const [, code] = /"code":"([a-z-]+)"/.exec(Buffer.concat(chunks).toString("utf8")) ?? [];
        resolve(code ? `${answer.statusCode} ${code}` : String(answer.statusCode));
      });
      answer.on("error", (error) => resolve(String((error as NodeJS.ErrnoException).code)));
    });
    asked.on("error", (error) => resolve(String((error as NodeJS.ErrnoException).code)));
    asked.end(JSON.stringify(body));
  });
}

export const graphqlAttacks: readonly Attack[] = [
  ...Object.entries(documents).flatMap(([name, body]) => [1, 8, 50].map((times) => atOnce(name, times, () => body))),
  ...Object.entries(allowed).flatMap(([name, body]) => [8, 50].map((times) => atOnce(name, times, () => body))),
  atOnce("a batch of 100", 8, () => range(100).map(() => ({ query: "{ packs { edges { cursor } } }" }))),
];
