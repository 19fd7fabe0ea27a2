import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../../test/support/app.js";
import { productOf } from "../../../test/support/facts.js";
import { trigramSimilarity } from "../../core/register/trigrams.js";
import { SimilarPacksService } from "./similar-packs.service.js";

type Refusal = { type: string; similarPacks: { id: string; name: string; why: string }[] };

let app: TestApp;
let headers: { authorization: string };
beforeAll(async () => {
  app = await startTestApp();
  headers = await app.signIn("anna");
});
afterAll(() => app.close());

const register = (payload: object) => app.inject({ method: "POST", url: "/v1/packs", payload, headers });

async function idOf(payload: object): Promise<string> {
  const answer = await register(payload);
  expect(answer.statusCode).toBe(201);
  return answer.json<{ id: string }>().id;
}

async function namesFor(search: string): Promise<string[]> {
  const answer = await app.inject({ url: "/v1/packs", query: { search } });
  return answer.json<{ items: { name: string }[] }>().items.map(({ name }) => name);
}

describe("a pack that the record may have already", () => {
  it.each([
    ["case and hyphens", "HALDEN-cells", "Moun-Tain"],
    ["look-alike letters", "Halden Cells", "Mоuntаin"],
    ["digits for letters", "Halden Cells", "M0unta1n"],
    ["its rating in the name", "Halden Cells", "Mountain 4S 5000mAh 60C"],
    ["a slip of the pen", "Haldn Cells", "Moutain"],
  ])("is offered in spite of %s", async (_, maker, name) => {
    const first = await app.inject({ url: "/v1/packs", query: { search: "mountain" } });
    const known = first.json<{ items: { id: string }[] }>().items[0]?.id ?? (await idOf(productOf("Mountain")));
    const refused = await register({ ...productOf(name), maker });
    expect(refused.statusCode).toBe(409);
    expect(refused.json<Refusal>()).toMatchObject({
      type: "/problems/similar-pack",
      similarPacks: [{ id: known, maker: "Halden Cells", name: "Mountain", series: 4, ratedCapacityMah: 5000 }],
    });
  });

  it("is registered when it is said to differ from each candidate, and from no fewer", async () => {
    const lagoon = await idOf(productOf("Lagoon"));
    const lagoons = await idOf({ ...productOf("Lagoons"), differsFrom: [lagoon] });
    const refused = await register({ ...productOf("Lagoonz"), differsFrom: [lagoon] });
    expect(refused.json<Refusal>().similarPacks.map(({ id }) => id)).toEqual([lagoons]);
    await idOf({ ...productOf("Lagoonz"), differsFrom: [lagoon, lagoons] });
  });

  it("is offered by GraphQL too", async () => {
    const id = await idOf(productOf("Estuary"));
    const i = { ...productOf("Estuarry"), chemistry: "LIPO" };
    const { body } = await app.graphql("mutation($i: PackInput!) { createPack(input: $i) { id } }", {
      variables: { i },
      headers,
    });
    expect(body.errors?.[0]?.extensions).toMatchObject({
      code: "similar-pack",
      similarPacks: [{ id, name: "Estuary", why: "similar-name" }],
    });
  });

  it("is another one with other cells, another size or another number", async () => {
    await idOf(productOf("Delta 1"));
    await idOf(productOf("Delta 2"));
    await idOf({ ...productOf("Delta 1"), series: 6 });
    await idOf({ ...productOf("Delta 1"), ratedCapacityMah: 3300 });
  });

  it("is not registered twice by two at once under names that are much alike", async () => {
    const names = ["Harbour", "Harbor", "Harboour", "Harbourr"];
    const answers = await Promise.all(names.map((name) => register(productOf(name))));
    expect(answers.map(({ statusCode }) => statusCode).sort()).toEqual([201, 409, 409, 409]);
  });
});

describe("a search of packs", () => {
  it("finds misspelt words where nothing has them as they are written", async () => {
    await idOf(productOf("Promontory"));
    expect(await namesFor("promontory")).toEqual(["Promontory"]);
    expect(await namesFor("promontry")).toEqual(["Promontory"]);
    expect(await namesFor("halden Pr0montory")).toEqual(["Promontory"]);
    expect(await namesFor("xylophone")).toEqual([]);
    expect(await namesFor("xq")).toEqual([]);
  });

  it("finds names that an older program registered", async () => {
    const id = await idOf(productOf("Causeway"));
    await app.database.pack.update({ where: { id }, data: { matchKey: "", matchKeyVersion: 0 } });
    expect(await namesFor("cuseway")).toEqual([]);
    await app.nest.get(SimilarPacksService).updateKeys();
    expect(await namesFor("cuseway")).toEqual(["Causeway"]);
  });

  it("uses an index for words and for letters", async () => {
    const plan = (sql: string) =>
      app.database.$transaction(async (tx) => {
        await tx.$executeRaw`SET LOCAL enable_seqscan = off`;
        return JSON.stringify(await tx.$queryRawUnsafe(`EXPLAIN ${sql}`));
      });
    expect(await plan("SELECT id FROM pack WHERE maker ILIKE '%tain%' OR name ILIKE '%tain%'")).toContain(
      "pack_names_idx",
    );
    expect(await plan("SELECT id FROM pack WHERE 'mountan' <% match_key")).toContain("pack_names_idx");
  });
});

it("counts shared letters as PostgreSQL's extension pg_trgm does", async () => {
  const words = ["regatta", "regata", "quillamber regatta", "re gatta", "l8 stage", "anvil", "r", "übung"];
  const rows = await app.database.$queryRaw<{ a: string; b: string; similarity: number }[]>`
    SELECT a, b, similarity(a, b)::float8 AS similarity FROM unnest(${words}::text[]) AS a, unnest(${words}::text[]) AS b`;
  expect(rows).toHaveLength(words.length ** 2);
  for (const { a, b, similarity } of rows)
    expect([a, b, trigramSimilarity(a, b)]).toEqual([a, b, expect.closeTo(similarity, 6)]);
});
