import { readFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { isObjectType } from "graphql";
import { projectRoot } from "../../src/platform/config/project-root.js";
import { startTestApp, type TestApp } from "../support/app.js";
import { SCHEMA } from "../support/graphql-words.js";
import { uploadCase } from "../support/uploads.js";

const [, section = ""] = readFileSync(join(projectRoot, "docs", "graphql.md"), "utf8").split("## In a client's cache");
const [, own = "", apart = ""] = /^(.*?)\n\nThe `id` of these(.*?)\n\nMany caches/s.exec(section) ?? [];
const typesIn = (text: string) => [...text.matchAll(/`([A-Z]\w+)`/g)].map(([, name = ""]) => name);

const WITH_ID = Object.values(SCHEMA.getTypeMap()).filter(
  (type) => isObjectType(type) && !type.name.startsWith("__") && "id" in type.getFields(),
);

type Fields = Record<string, unknown>;

/** Keeps what a client's cache would: the scalars of each object, by its type and id. Names the types that two places differ about. */
class CacheByTypeAndId {
  readonly torn = new Set<string>();
  private readonly kept = new Map<string, Fields>();

  take(value: unknown): void {
    if (Array.isArray(value)) for (const one of value) this.take(one);
    else if (typeof value === "object" && value !== null) this.takeObject(value as Fields);
  }

  private takeObject(object: Fields): void {
    const { __typename: type, id } = object;
    const known = type && id ? (this.kept.get(`${type}:${id}`) ?? {}) : {};
    for (const [name, value] of Object.entries(object)) {
      this.take(value);
      const text = JSON.stringify(value);
      if (name in known && known[name] !== text) this.torn.add(String(type));
      known[name] = text;
    }
    if (type && id) this.kept.set(`${type}:${id}`, known);
  }
}

let app: TestApp;
let headers: { authorization: string };
let runs: string[];
beforeAll(async () => {
  app = await startTestApp();
  headers = await app.signIn("anna");
  const uploads = [
    await uploadCase(app, headers, "Sprint", "truth-4s-10hz"),
    await uploadCase(app, headers, "Ridge", "plain-20hz"),
  ];
  runs = uploads.map(({ body }) => body.id);
});
afterAll(() => app.close());

const RUN =
  "__typename id state review pack { __typename id name } specimen { __typename id label } tester { __typename id handle }";
const ASKED = [
  `{ runs(first: 10, mine: true) { edges { node { ${RUN} bench { __typename id label } } } } }`,
  "{ packs { edges { node { __typename id name status } } } specimens { edges { node { __typename id label } } } }",
  "{ me { __typename id handle role } benches { edges { node { __typename id label } } } }",
  ...["full-load", "current-ladder", "two-pulse"].map(
    (key) =>
      `{ protocolRules(key: "${key}", first: 100) { edges { node { __typename id severity unit limits { name value } } } } }`,
  ),
];

const comparison = () =>
  `{ comparison(runs: ${JSON.stringify(runs)}) { columns { __typename id kind pack { __typename id name status } } } }`;

describe("a client's cache by type and id", () => {
  it("is told of every type with an id whether it may keep it", () => {
    const nodes = SCHEMA.getPossibleTypes(SCHEMA.getType("Node") as never).map(({ name }) => name);
    const told = [...nodes, ...typesIn(own).filter((name) => name !== "Node"), ...typesIn(apart)];
    expect(told.toSorted()).toEqual(WITH_ID.map(({ name }) => name).toSorted());
  });

  it("holds for what it may keep, and is torn by what it may not", async () => {
    const cache = new CacheByTypeAndId();
    for (const query of [...ASKED, comparison()]) {
      const { body } = await app.graphql(query, { headers });
      expect([query, body.errors]).toEqual([query, undefined]);
      cache.take(body.data);
    }
    expect([...cache.torn].toSorted()).toEqual(["ProtocolRule"]);
    expect(typesIn(apart)).toEqual(expect.arrayContaining([...cache.torn]));
  });
});
