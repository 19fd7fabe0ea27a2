import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../../test/support/app.js";
import { productOf } from "../../../test/support/facts.js";
import { inRestWords } from "../../../test/support/graphql-words.js";

const leads = { connector: "4 mm bullet", leadGaugeAwg: 12, leadAreaMm2: null };
const sprint = { ...productOf("Sprint 4000"), massGrams: 412.5, ...leads };

let app: TestApp;
let headers: { authorization: string };
beforeAll(async () => {
  app = await startTestApp();
  headers = await app.signIn("anna");
});
afterAll(() => app.close());

function register(payload: object) {
  return app.inject({ method: "POST", url: "/v1/packs", payload, headers });
}

describe("packs", () => {
  it("gives a registered pack back, alike in both APIs", async () => {
    const created = await register(sprint);
    expect(created.statusCode).toBe(201);
    const pack = created.json<{ id: string }>();
    expect(pack).toEqual({ id: expect.any(String), ...sprint, status: "proposed" });
    expect(created.headers.location).toBe(`/v1/packs/${pack.id}`);
    const read = await app.inject({ url: `/v1/packs/${pack.id}` });
    expect(read.json()).toEqual(pack);
    const fields =
      "id maker name chemistry series parallel ratedCapacityMah labelContinuousC labelBurstC massGrams connector leadGaugeAwg leadAreaMm2 status";
    const { body } = await app.graphql(`query($id: ID!) { pack(id: $id) { ${fields} } }`, {
      variables: { id: pack.id },
    });
    expect(inRestWords(body.data)).toEqual({ pack });
  });

  it.each<[string, object, string | null]>([
    ["nothing said of the leads", { connector: undefined, leadGaugeAwg: null }, null],
    ["a cross-section in mm2", { leadGaugeAwg: null, leadAreaMm2: 5.3 }, null],
    ["a gauge of 0 (1/0) and a connector in another script", { leadGaugeAwg: 0, connector: "5 мм" }, null],
    ["both a gauge and a cross-section", { leadAreaMm2: 5.3 }, "/leadAreaMm2"],
    ["a gauge that no wire has", { leadGaugeAwg: 41 }, "/leadGaugeAwg"],
    ["no cross-section", { leadGaugeAwg: null, leadAreaMm2: 0 }, "/leadAreaMm2"],
    ["a connector's name without end", { connector: "x".repeat(41) }, "/connector"],
    ["a connector's name that hides something", { connector: "bullet\u202e" }, "/connector"],
  ])("%s", async (name, changes, pointer) => {
    const answer = await register({ ...sprint, name: name.slice(0, 60), ...changes });
    const { errors } = answer.json<{ errors?: { pointer: string }[] }>();
    expect([answer.statusCode, errors?.[0]?.pointer ?? null]).toEqual([pointer ? 422 : 201, pointer]);
  });

  it("refuses the same product whatever the case of its names, and says which it is", async () => {
    const first = await register({ ...sprint, name: "Twin" });
    const again = await register({ ...sprint, maker: "  HALDEN cells ", name: "twin", massGrams: 1 });
    expect(again.statusCode).toBe(409);
    expect(again.json()).toMatchObject({
      type: "/problems/already-exists",
      existingId: first.json<{ id: string }>().id,
    });
  });

  it("keeps its promise when two clients register the same product at once", async () => {
    const answers = await Promise.all(Array.from({ length: 6 }, () => register({ ...sprint, name: "Race" })));
    expect(answers.map(({ statusCode }) => statusCode).sort()).toEqual([201, 409, 409, 409, 409, 409]);
  });

  it("needs a session to register, in both APIs", async () => {
    const rest = await app.inject({ method: "POST", url: "/v1/packs", payload: sprint });
    expect(rest.statusCode).toBe(401);
    expect(rest.json()).toMatchObject({ type: "/problems/session-required" });
    const { status, body } = await app.graphql("mutation($i: PackInput!) { createPack(input: $i) { id } }", {
      variables: { i: { ...sprint, chemistry: "LIPO" } },
    });
    expect(status).toBe(401);
    expect(body.errors?.[0]?.extensions.code).toBe("session-required");
  });

  it("walks every pack once, page by page", async () => {
    for (const series of [2, 3, 5, 6, 8]) await register({ ...sprint, name: `Walk ${series}S`, series });
    const seen: string[] = [];
    let after = "";
    do {
      const answer = await app.inject({ url: `/v1/packs?search=walk&first=2${after && `&after=${after}`}` });
      const page = answer.json<{ items: { name: string }[]; pageInfo: { endCursor: string; hasNextPage: boolean } }>();
      seen.push(...page.items.map(({ name }) => name));
      after = page.pageInfo.hasNextPage ? page.pageInfo.endCursor : "";
    } while (after);
    expect(seen).toEqual(["Walk 2S", "Walk 3S", "Walk 5S", "Walk 6S", "Walk 8S"]);
  });

  it("finds by chemistry, cells in series and words; a wildcard is a letter like any other", async () => {
    await register({ ...sprint, name: "Iron 100%", chemistry: "lifepo4", series: 12 });
    const names = async (query: string) => {
      const answer = await app.inject({ url: `/v1/packs?${query}` });
      return answer.json<{ items: { name: string }[] }>().items.map(({ name }) => name);
    };
    expect(await names("chemistry=lifepo4")).toEqual(["Iron 100%"]);
    expect(await names("series=12")).toEqual(["Iron 100%"]);
    expect(await names("search=halden%20IRON")).toEqual(["Iron 100%"]);
    expect(await names("search=%25")).toEqual(["Iron 100%"]);
    expect(await names("search=_")).toEqual([]);
    const walked = await app.inject({ url: "/v1/packs?search=walk%202S" });
    const confirmed = await app.inject({
      method: "POST",
      url: `/v1/packs/${walked.json<{ items: { id: string }[] }>().items[0]?.id}/confirmation`,
      payload: { checked: ["label"] },
      headers: await app.signIn("mona", "moderator"),
    });
    expect(confirmed.statusCode).toBe(200);
    expect(await names("search=walk&status=confirmed")).toEqual(["Walk 2S"]);
    expect(await names("search=walk&status=proposed")).toEqual(["Walk 3S", "Walk 5S", "Walk 6S", "Walk 8S"]);
    expect(await names("status=hidden")).toEqual([]);
  });
});
