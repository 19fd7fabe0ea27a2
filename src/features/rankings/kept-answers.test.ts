import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../../test/support/app.js";
import { productOf } from "../../../test/support/facts.js";
import { statementsOf } from "../../../test/support/statements.js";
import { RankingsService } from "./rankings.service.js";

let app: TestApp;
let headers: { authorization: string };
let packId: string;
beforeAll(async () => {
  app = await startTestApp();
  headers = await app.signIn("anna");
  const payload = productOf("Alpha");
  packId = (await app.inject({ method: "POST", url: "/v1/packs", payload, headers })).json<{ id: string }>().id;
  await app.database.standing.create({
    data: {
      protocolKey: "full-load",
      protocolVersion: 1,
      computationVersion: 1,
      figure: "power-10s",
      load: 80,
      packId,
      chemistry: payload.chemistry,
      series: payload.series,
      ratedCapacityMah: payload.ratedCapacityMah,
      value: 1000,
      unit: "W",
      uncertainty: 1,
      testers: 1,
      runs: 1,
      established: false,
      basis: "translated",
      sortValue: 1000,
    },
  });
});
afterAll(() => app.close());

const QUERY = "{ ranking(figure: POWER_10S, load: 80, standing: ALL) { edges { node { value pack { name } } } } }";
const REST = "/v1/rankings/power-10s?load=80&standing=all";

async function change(value: number): Promise<void> {
  await app.database.standing.updateMany({ where: { packId }, data: { value, sortValue: value } });
}

/** How many statements a request takes, and what it is answered. */
async function ask(send: () => Promise<{ body: unknown }>): Promise<{ statements: number; text: string }> {
  let text = "";
  const sent = await statementsOf(app, async () => {
    const { body } = await send();
    text = typeof body === "string" ? body : JSON.stringify(body);
  });
  return { statements: sent.length, text };
}
const rest = () => app.inject({ url: REST });
const graphql = (query = QUERY, options = {}) => app.graphql(query, options);

describe.each([
  ["REST", rest],
  ["GraphQL", () => graphql()],
])("an answer from rankings over %s", (_, send) => {
  it("is read again once they have changed, and else takes one statement", async () => {
    await change(1000);
    const first = await ask(send);
    const second = await ask(send);
    expect(first.statements).toBeGreaterThan(1);
    expect(second).toEqual({ statements: 1, text: first.text });
    expect(second.text).toContain("1000");
    await change(1234.5);
    expect((await ask(send)).text).toContain("1234.5");
    await app.database.pack.update({ where: { id: packId }, data: { name: "Renamed" } });
    expect((await ask(send)).text).toContain("Renamed");
    await app.database.pack.update({ where: { id: packId }, data: { name: "Alpha" } });
  });
});

describe("an answer of GraphQL", () => {
  it("is not kept where it is read from more than rankings, or may depend on who asks", async () => {
    const more = QUERY.replace("{ ranking", "{ me: packs(first: 1) { totalCount } ranking");
    for (const send of [() => graphql(more), () => graphql(QUERY, { headers })]) {
      const first = await ask(send);
      expect((await ask(send)).statements).toBeGreaterThan(1);
      expect(first.text).toContain("ranking");
    }
  });

  it("is of its own variables, operation and media type", async () => {
    const query = "query($load: Float) { ranking(figure: POWER_10S, load: $load) { load } }";
    const of = async (load: number) => (await graphql(query, { variables: { load } })).body.data;
    expect([await of(80), await of(63), await of(80)]).toEqual([80, 63, 80].map((load) => ({ ranking: { load } })));
    for (const accept of ["application/graphql-response+json", "application/json"]) {
      const payload = { query: QUERY };
      const answer = await app.inject({ method: "POST", url: "/graphql", payload, headers: { accept } });
      expect(answer.headers["content-type"]).toContain(accept);
    }
  });

  it("that says what was wrong is not kept", async () => {
    const query = "{ ranking(figure: POWER_10S, load: 81) { load } }";
    for (let i = 0; i < 2; i++) expect((await graphql(query)).body.errors?.[0]?.extensions.code).toBe("invalid-input");
  });
});

describe("an answer of REST", () => {
  const table = { accept: "text/csv" };
  /** How often a handler asks for what it is to be read from, from now on. */
  const handled = () => {
    const service = app.nest.get(RankingsService);
    const read = RankingsService.prototype.revisions;
    const counted = { times: 0 };
    service.revisions = () => {
      counted.times++;
      return read.call(service);
    };
    return counted;
  };
  type Headers = Readonly<Record<string, string>>;
  const ask = async (sent: Headers = {}, url = REST, method: "GET" | "HEAD" = "GET") => {
    const { statusCode, headers: shown, body } = await app.inject({ method, url, headers: sent });
    const { date: _, "x-request-id": id, ratelimit, ...fields } = shown;
    return { statusCode, body, fields, id, ratelimit };
  };

  it("is given again without its handler, with the same status, body and header fields, as is 304", async () => {
    await change(2000);
    const handler = handled();
    const first = await ask();
    const known = { "if-none-match": String(first.fields.etag) };
    expect(handler.times).toBe(1);
    const [again, current] = [await ask(), await ask(known)];
    expect(handler.times).toBe(1);
    expect(again).toEqual({ ...first, id: again.id });
    expect(again.id).not.toBe(first.id);
    expect(current).toMatchObject({ statusCode: 304, body: "" });
    await change(2001);
    expect(await ask(known)).toMatchObject({ statusCode: 200, body: expect.stringContaining("2001") });
    const changed = await ask();
    const later = { "if-none-match": String(changed.fields.etag) };
    await change(2002);
    await change(2003);
    const made = await ask({ "if-none-match": "*" });
    expect(made.statusCode).toBe(304);
    expect(made.fields).toEqual({ ...current.fields, etag: made.fields.etag });
    expect(await ask(later)).toMatchObject({ statusCode: 200, body: expect.stringContaining("2003") });
  });

  it("is of its address, method and media type, and of nobody who says who they are", async () => {
    await ask();
    const handler = handled();
    expect((await ask(table)).body).toContain(",");
    expect((await ask(headers)).fields["cache-control"]).toBe("private, no-cache");
    expect((await ask({ cookie: "a=b" })).statusCode).toBe(200);
    expect((await ask({}, `${REST}&first=1`)).body).toContain("Alpha");
    expect(await ask({}, REST, "HEAD")).toMatchObject({ statusCode: 200, body: "" });
    expect(handler.times).toBe(5);
    expect((await ask({ accept: "image/gif" })).statusCode).toBe(406);
    expect((await ask({}, `${REST}&frist=1`)).statusCode).toBe(422);
  });

  it("is counted and limited as every other", async () => {
    await ask();
    const count = async () => {
      const { body } = await app.inject({ url: "/metrics" });
      const line = /http_request_seconds_count\{[^}]*route="\/v1\/rankings\/:figure",status="200"[^}]*\} (\d+)/;
      return Number(line.exec(body)?.[1]);
    };
    const before = await count();
    const seen = { "x-forwarded-for": "203.0.113.9" };
    const [first, second] = [await ask(seen), await ask(seen)];
    expect(await count()).toBe(before + 2);
    const left = ({ ratelimit }: { ratelimit: unknown }) => Number(/;r=(\d+)/.exec(String(ratelimit))?.[1]);
    expect(left(second)).toBe(left(first) - 1);
  });
});
