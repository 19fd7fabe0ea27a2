import { randomUUID } from "node:crypto";
import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../../test/support/app.js";
import { productOf } from "../../../test/support/facts.js";
import { newestProtocol } from "../../../test/support/protocols.js";
import { STORED_LOAD, StoredRuns } from "../../../test/support/stored-runs.js";
import type { PackCyclesView } from "./cycles/pack-cycles.views.js";

let app: TestApp;
const packs: string[] = [];
beforeAll(async () => {
  app = await startTestApp();
  const headers = await app.signIn("anna");
  for (const [name, series] of [
    ["Alpha", 4],
    ["Beta", 4],
    ["Gamma", 4],
    ["Delta", 6],
  ] as const) {
    const payload = { ...productOf(name), series };
    packs.push((await app.inject({ method: "POST", url: "/v1/packs", payload, headers })).json<{ id: string }>().id);
  }
  const [alpha = "", beta = "", gamma = "", delta = ""] = packs;
  // Most standings at 63 A, most established ones at 80 A.
  await stand("power-10s", 63, { [alpha]: 1100, [beta]: 1090, [gamma]: 1080 }, false);
  await stand("power-10s", 80, { [alpha]: 1380, [beta]: 1390 }, true);
  await stand("power-10s", 100, { [alpha]: 1690 }, true);
  await stand("power-10s", 100, { [delta]: 2500 }, true);
  await stand("power-10s", 160, { [delta]: 3800, [gamma]: 2600 }, false);
});
afterAll(() => app.close());

async function stand(
  figure: string,
  load: number,
  values: Readonly<Record<string, number>>,
  established: boolean,
): Promise<void> {
  const { key, version } = newestProtocol("full-load");
  for (const [packId, value] of Object.entries(values)) {
    const { chemistry, series, ratedCapacityMah } = await app.database.pack.findUniqueOrThrow({
      where: { id: packId },
    });
    await app.database.standing.create({
      data: {
        protocolKey: key,
        protocolVersion: version,
        computationVersion: 1,
        figure,
        load,
        packId,
        chemistry,
        series,
        ratedCapacityMah,
        value,
        unit: "W",
        uncertainty: 1,
        testers: established ? 3 : 1,
        runs: established ? 3 : 1,
        established,
        basis: "translated",
        sortValue: value,
      },
    });
  }
}

interface Asked {
  readonly status: number;
  readonly load: number | null;
  readonly loads: number[];
  readonly items: { place: number | null; load: number | null; value: number; pack: { name: string } }[];
  readonly pageInfo: { endCursor: string; hasNextPage: boolean };
  readonly errors: { pointer: string; message: string }[];
}

async function ask(query: string, figure = "power-10s"): Promise<Asked> {
  const shown = query.includes("standing=") ? "" : "standing=all&";
  const answer = await app.inject({ url: `/v1/rankings/${figure}?${shown}${query}` });
  return { ...answer.json<Asked>(), status: answer.statusCode };
}
const named = ({ items }: Asked) => items.map(({ pack, value }) => [pack.name, value]);

describe("a ranking by a figure under standard loads", () => {
  it("takes the load with most established standings of the class, and names it and the others", async () => {
    const all = await ask("");
    expect([all.load, all.loads]).toEqual([80, [63, 80, 100, 160]]);
    const six = await ask("series=6");
    expect([six.load, six.loads, named(six)]).toEqual([100, [100, 160], [["Delta", 2500]]]);
  });

  it("sets each standing beside those at the same load only", async () => {
    expect(named(await ask(""))).toEqual([
      ["Beta", 1390],
      ["Alpha", 1380],
    ]);
    expect((await ask("load=63")).items.map(({ place, load }) => [place, load])).toEqual([
      [null, 63],
      [null, 63],
      [null, 63],
    ]);
  });

  it("is the one that is asked for, also where nobody stands", async () => {
    const at = await ask("load=160");
    expect([at.load, named(at)]).toEqual([
      160,
      [
        ["Delta", 3800],
        ["Gamma", 2600],
      ],
    ]);
    const empty = await ask("load=2.5");
    expect([empty.status, empty.load, empty.items, empty.loads]).toEqual([200, 2.5, [], [63, 80, 100, 160]]);
  });

  it("is walked at one load, whatever is established meanwhile", async () => {
    const first = await ask("first=1");
    await app.database.standing.updateMany({ where: { load: 63 }, data: { established: true } });
    expect((await ask("first=1")).load).toBe(63);
    const second = await ask(`first=1&after=${first.pageInfo.endCursor}`);
    expect([second.load, named(second)]).toEqual([80, [["Alpha", 1380]]]);
    expect(second.items[0]?.place).toBe(2);
    expect((await ask(`load=63&after=${first.pageInfo.endCursor}`)).status).toBe(400);
    await app.database.standing.updateMany({ where: { load: 63 }, data: { established: false } });
  });

  it.each([
    [81, [63, 80, 100]],
    [79.99, [63, 80, 100]],
    [1, null],
    [9999, [6300, 8000]],
    [0.001, [0.1, 0.125]],
  ])("refuses %p A where it is no standard load, and names the nearest", async (load, nearest) => {
    const answer = await ask(`load=${load}`);
    if (nearest === null) {
      expect([answer.status, answer.load]).toEqual([200, load]);
      return;
    }
    expect([answer.status, answer.errors[0]?.pointer]).toEqual([422, "/load"]);
    const offered = answer.errors[0]?.message
      .match(/such as (.*) A/)?.[1]
      ?.split(", ")
      .map(Number);
    expect(offered).toEqual(expect.arrayContaining(nearest));
  });

  it.each(["0", "-80", "much", "1e9"])("refuses the load %s", async (load) => {
    const answer = await ask(`load=${load}`);
    expect([answer.status, answer.errors[0]?.pointer]).toEqual([422, "/load"]);
  });

  it("says the same in GraphQL", async () => {
    const query = `query($load: Float) { ranking(figure: POWER_10S, load: $load, standing: ALL) {
      load loads edges { node { place load value pack { name } } } } }`;
    for (const load of [null, 63]) {
      const { body } = await app.graphql(query, { variables: { load } });
      const rest = await ask(load === null ? "" : `load=${load}`);
      const edges = rest.items.map(({ place, load: at, value, pack }) => ({
        node: { place, load: at, value, pack: { name: pack.name } },
      }));
      expect(body.data).toEqual({ ranking: { load: rest.load, loads: rest.loads, edges } });
    }
    const { body } = await app.graphql(query, { variables: { load: 81 } });
    expect(body.errors?.[0]?.extensions.code).toBe("invalid-input");
  });
});

describe("a figure that packs are ranked by under the runs' own loads", () => {
  it("refuses a load, in a ranking and in a standing, and names none", async () => {
    for (const url of [`verified-current?load=80`, `verified-current/packs/${packs[0]}?load=80`]) {
      const answer = await app.inject({ url: `/v1/rankings/${url}` });
      expect(answer.json()).toMatchObject({ status: 422, errors: [{ pointer: "/load" }] });
    }
    const { status, load, loads } = await ask("", "verified-current");
    expect([status, load, loads]).toEqual([200, null, []]);
  });

  it("has no standing of a pack that was never tested", async () => {
    const answer = await app.inject({ url: `/v1/rankings/power-10s/packs/${randomUUID()}` });
    expect(answer.statusCode).toBe(404);
  });
});

describe("a pack by cycles", () => {
  let runs: StoredRuns;
  beforeAll(() => {
    runs = new StoredRuns(app);
  });

  it("gives each accepted run with the age that it states, else that of its specimen, in every form", async () => {
    const [young, old, other, out] = [
      await runs.add("carl", "Aged", { power: 1 }),
      await runs.add("carl", "Aged", { power: 0.95 }),
      await runs.add("dora", "Aged", { power: 0.99 }),
      await runs.add("dora", "Aged", { power: 0.5 }),
    ];
    await runs.reject(out);
    await app.database.run.update({ where: { id: old }, data: { cycles: 120 } });
    const url = `/v1/rankings/power-10s/packs/${await runs.pack("Aged")}/cycles`;
    const first = await app.inject({ url });
    const { results, load, unit } = first.json<PackCyclesView>();
    expect([load, unit]).toEqual([STORED_LOAD, "W"]);
    const shown = results.map(({ runId, tester, cycles, value }) => [runId, tester.handle, cycles, value]);
    expect(shown).toEqual([
      [young, "carl", 5, 1400],
      [old, "carl", 120, 1330],
      [other, "dora", 5, 1386],
    ]);
    const csv = (await app.inject({ url: `${url}.csv` })).body.trim().split("\r\n");
    expect(csv.slice(1).map((line) => line.split(",").slice(3, 5))).toEqual(
      results.map(({ cycles, runId }) => [String(cycles), runId]),
    );
    expect((await app.inject({ url: `${url}.md` })).body).toContain("| carl | no. 1 | 120 | 1330 ± 13 |");
    const drawn = await app.inject({ url, headers: { accept: "image/svg+xml" } });
    expect(drawn.headers["content-type"]).toContain("image/svg+xml");
    expect(drawn.body).toContain("carl, no. 1");
    const query = `query($packId: ID!) { packCycles(figure: POWER_10S, packId: $packId) { results { runId cycles } } }`;
    const { body } = await app.graphql(query, { variables: { packId: await runs.pack("Aged") } });
    expect(body.data).toEqual({ packCycles: { results: results.map(({ runId, cycles }) => ({ runId, cycles })) } });
    expect(results.map(({ withdrawn }) => withdrawn)).toEqual([false, false, false]);
    // A specimen that is stated otherwise makes the copy that somebody holds an old one.
    await app.database.specimen.updateMany({ where: { pack: { name: "Aged" } }, data: { cycles: 7 } });
    const again = await app.inject({ url, headers: { "if-none-match": String(first.headers.etag) } });
    expect([again.statusCode, again.json<PackCyclesView>().results[0]?.cycles]).toEqual([200, 7]);
    expect((await app.inject({ url: url.replace("power-10s", "verified-current") })).statusCode).toBe(404);
  });

  it("goes on showing a run that was withdrawn after it had been accepted, and none that nobody had decided on", async () => {
    const [first, old] = [await runs.add("emil", "Worn", { power: 1 }), await runs.add("emil", "Worn", { power: 0.9 })];
    await app.database.run.update({ where: { id: old }, data: { cycles: 90 } });
    const url = `/v1/rankings/power-10s/packs/${await runs.pack("Worn")}/cycles`;
    const held = (await app.inject({ url })).headers.etag;
    await runs.withdraw(await runs.addUndecided("emil", "Worn", { reading: { power: 1.01 } }), "pending");
    await runs.withdraw(old, "accepted");
    const shown = await app.inject({ url, headers: { "if-none-match": String(held) } });
    expect(shown.json<PackCyclesView>().results.map(({ runId, withdrawn }) => [runId, withdrawn])).toEqual([
      [first, false],
      [old, true],
    ]);
    expect((await app.inject({ url: `${url}.csv` })).body).toMatch(new RegExp(`${old}.*,true\r\n`));
    expect((await app.inject({ url: `${url}.md` })).body).toMatch(/90 \| 1260 ± \d+, withdrawn/);
    expect((await app.inject({ url: `${url}.svg` })).body).toContain("withdrawn after it had been accepted");
    const { id } = await app.database.account.findFirstOrThrow({ where: { handle: "emil" } });
    await app.database.run.update({ where: { id: old }, data: { withdrawalExcusedById: id } });
    expect((await app.inject({ url })).json<PackCyclesView>().results).toHaveLength(1);
  });
});
