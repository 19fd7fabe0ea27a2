import { setTimeout as delay } from "node:timers/promises";
import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../../test/support/app.js";
import { productOf } from "../../../test/support/facts.js";
import { inRestWords } from "../../../test/support/graphql-words.js";
import { statementsOf } from "../../../test/support/statements.js";
import { uploadCase } from "../../../test/support/uploads.js";
import { FIGURE_DESCRIPTIONS } from "../../core/figures/descriptions.js";
import { CopiesService } from "../copies/copies.service.js";

interface Place {
  readonly figure: string;
  readonly load: number | null;
  readonly place: number | null;
  readonly value: number;
}

let app: TestApp;
let moderator: { authorization: string };
let packId: string;
const runs: string[] = [];
beforeAll(async () => {
  app = await startTestApp();
  moderator = await app.signIn("mona", "moderator");
  for (const [tester, pack, log] of [
    ["anna", "Sprint", "truth-4s-10hz"],
    ["bert", "Ridge", "plain-20hz"],
  ] as const) {
    const headers = await app.signIn(tester);
    runs.push((await uploadCase(app, headers, pack, log)).body.id);
    await app.inject({ method: "POST", url: "/v1/packs", payload: productOf(`Other ${pack}`), headers });
  }
  await decide(runs[0] as string);
  const run = await app.inject({ url: `/v1/runs/${runs[0]}` });
  packId = run.json<{ pack: { id: string } }>().pack.id;
});
afterAll(() => app.close());

async function decide(id: string): Promise<void> {
  await app.nest.get(CopiesService).awaitCheck(id);
  const jobs = () => app.database.$queryRaw<object[]>`SELECT FROM graphile_worker.jobs`;
  while ((await jobs()).length > 0) await delay(20);
  const payload = { decision: "accept", rules: [], note: "Looked at." };
  const answer = await app.inject({ method: "POST", url: `/v1/runs/${id}/reviews`, payload, headers: moderator });
  expect(answer.statusCode).toBe(201);
}

const get = async <T>(url: string): Promise<T> => (await app.inject({ url })).json<T>();

describe("a pack's standings", () => {
  it("are those of every ranking that it stands in, with its place there, alike in both APIs", async () => {
    const { items } = await get<{ items: Place[] }>(`/v1/packs/${packId}/standings?first=100`);
    expect(items.length).toBeGreaterThan(10);
    for (const { figure, load, place, value } of items) {
      const at = load === null ? "" : `&load=${load}`;
      const ranking = await get<{ items: (Place & { pack: { id: string } })[] }>(
        `/v1/rankings/${figure}?standing=all&chemistry=lipo&series=4${at}`,
      );
      const mine = ranking.items.find(({ pack }) => pack.id === packId);
      expect([figure, load, mine?.place, mine?.value]).toEqual([figure, load, place, value]);
    }
    const query =
      "query($p: ID!) { packStandings(packId: $p, first: 100) { edges { node { figure load place value } } } }";
    const { body } = await app.graphql(query, { variables: { p: packId } });
    const { edges } = (inRestWords(body.data) as { packStandings: { edges: { node: Place }[] } }).packStandings;
    expect(edges.map(({ node }) => node)).toEqual(
      items.map(({ figure, load, place, value }) => ({ figure, load, place, value })),
    );
  });

  it("are walked page by page, and only those that are asked for", async () => {
    const all = await get<{ items: Place[] }>(`/v1/packs/${packId}/standings?first=100`);
    const walked: Place[] = [];
    for (let after = ""; ; ) {
      const url = `/v1/packs/${packId}/standings?first=7${after && `&after=${after}`}`;
      const page = await get<{ items: Place[]; pageInfo: { endCursor: string; hasNextPage: boolean } }>(url);
      walked.push(...page.items);
      if (!page.pageInfo.hasNextPage) break;
      after = page.pageInfo.endCursor;
    }
    expect(walked).toEqual(all.items);
    const some = await get<{ items: Place[] }>(`/v1/packs/${packId}/standings?figure=capacity&protocol=full-load`);
    expect(some.items).toEqual(all.items.filter(({ figure }) => figure === "capacity"));
    const none = await app.inject({ url: "/v1/packs/018f0000-0000-7000-8000-000000000000/standings" });
    expect(none.statusCode).toBe(404);
  });
});

describe("classes", () => {
  it("count packs, and standings by load", async () => {
    const { items } = await get<{ items: object[] }>("/v1/classes");
    const { loads } = await get<{ loads: number[] }>("/v1/rankings/power-10s?chemistry=lipo&series=4");
    const ofLoads = loads.map((load) => ({ load, standings: 1, established: 0 }));
    const packs = await app.database.pack.count({ where: { chemistry: "lipo", series: 4 } });
    expect(items).toEqual([{ chemistry: "lipo", series: 4, packs, loads: ofLoads }]);
    const { body } = await app.graphql("{ classes { edges { node { series packs loads { load established } } } } }");
    const { edges } = (inRestWords(body.data) as { classes: { edges: { node: object }[] } }).classes;
    expect(items).toMatchObject(edges.map(({ node }) => node));
    expect((await app.inject({ url: "/v1/classes?figure=colour" })).statusCode).toBe(404);
  });

  it("are counted once for each state of packs and rankings, however many ask", async () => {
    const classes = async (headers = {}) => (await app.inject({ url: "/v1/classes", headers })).json<object>();
    const query = "{ classes { edges { node { packs loads { standings } } } } }";
    const counts = async (work: () => Promise<unknown>) =>
      (await statementsOf(app, work)).flatMap(({ text, table }) => (/count\(/i.test(text) ? [table] : []));
    const before = await classes();
    // Who is somebody is answered for himself.
    expect(await counts(() => Promise.all([classes(), classes(moderator), app.graphql(query)]))).toEqual([]);
    const headers = await app.signIn("anna");
    await app.inject({ method: "POST", url: "/v1/packs", payload: productOf("One more"), headers });
    let after: object = {};
    const asked = async () => ([after] = await Promise.all([classes(), classes(moderator), app.graphql(query)]));
    expect(await counts(asked)).toEqual(["pack"]);
    const { items } = after as { items: { packs: number }[] };
    expect(items[0]?.packs).toBe(((before as typeof after & { items: { packs: number }[] }).items[0]?.packs ?? 0) + 1);
    await app.database.$executeRaw`UPDATE ranking_revision SET revision = revision + 1`;
    expect(await counts(() => Promise.all([classes(), classes(moderator)]))).toEqual(["standing"]);
  });
});

describe("figures", () => {
  it("are all told of, with unit and direction, alike in both APIs", async () => {
    const { items } = await get<{ items: { key: string; ranked: boolean }[] }>("/v1/figures?first=100");
    expect(items.map(({ key }) => key).sort()).toEqual([...FIGURE_DESCRIPTIONS.keys()].sort());
    expect(items.find(({ key }) => key === "sag-10s")).toEqual({
      key: "sag-10s",
      title: "Sag at 10 s",
      unit: "V",
      direction: "lower",
      definition: "Fall of the voltage per cell from rest to 10 s of load.",
      ranked: true,
      protocols: [
        { protocol: "full-load", ranked: true, basis: "translated" },
        { protocol: "current-ladder", ranked: false, basis: null },
      ],
    });
    const { body } = await app.graphql(
      "{ figures(first: 100) { edges { node { key title unit ranked protocols { protocol ranked } } } } }",
    );
    const { edges } = (inRestWords(body.data) as { figures: { edges: { node: object }[] } }).figures;
    expect(items).toMatchObject(edges.map(({ node }) => node));
    const ranked = await get<{ items: { ranked: boolean }[] }>("/v1/figures?first=100&ranked=true");
    expect(ranked.items).toEqual(items.filter(({ ranked }) => ranked));
  });
});

describe("a copy that a reader has", () => {
  // Under a name of the service that nobody has asked under: nothing is kept that others were answered.
  const headers = { host: "unheard-of.example" };
  const ask = (url: string, etag = "") =>
    app.inject({ url, headers: { ...headers, ...(etag ? { "if-none-match": etag } : {}) } });

  it("is told to be current by a statement or two, until what it shows changes", async () => {
    const reads: readonly (readonly [string, number, "changed" | "as before"])[] = [
      ["/v1/rankings/power-10s?chemistry=lipo", 1, "changed"],
      [`/v1/rankings/power-10s/packs/${packId}`, 2, "changed"],
      [`/v1/packs/${packId}/standings`, 1, "changed"],
      ["/v1/classes", 2, "changed"],
      ["/v1/runs", 1, "changed"],
      // The second run is another pack's: the first run is as it was.
      [`/v1/runs/${runs[0]}`, 1, "as before"],
      [`/v1/runs/${runs[0]}/trace`, 1, "as before"],
      ["/v1/packs", 1, "as before"],
      ["/v1/figures", 1, "as before"],
    ];
    const tags = new Map<string, string>();
    for (const [url, most] of reads) {
      const whole = await statementsOf(app, async () => tags.set(url, String((await ask(url)).headers.etag)));
      let answer: Awaited<ReturnType<typeof ask>> | undefined;
      const again = await statementsOf(app, async () => {
        answer = await ask(url, tags.get(url));
      });
      expect([url, answer?.statusCode, answer?.body, again.length]).toEqual([url, 304, "", most]);
      expect(answer?.headers.etag).toBe(tags.get(url));
      expect([url, whole.length > most]).toEqual([url, true]);
    }
    await decide(runs[1] as string);
    for (const [url, , outcome] of reads) {
      const { statusCode } = await ask(url, tags.get(url));
      expect([url, statusCode]).toEqual([url, outcome === "changed" ? 200 : 304]);
    }
  });

  it("of a run is none any more once its tester was erased", async () => {
    const url = `/v1/runs/${runs[1]}`;
    const etag = String((await ask(url)).headers.etag);
    const session = await app.signIn("bert");
    const payload = { password: "correct horse battery" };
    await app.inject({ method: "POST", url: "/v1/accounts/me/erasure", payload, headers: session });
    expect((await ask(url, etag)).statusCode).toBe(200);
  });
});
