import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../../../test/support/app.js";

interface Standing {
  readonly value: number;
  readonly uncertainty: number;
  readonly established: boolean;
}

let app: TestApp;
/** Value and uncertainty of each pack by its number: equal values, no uncertainty and wide ones among them. */
const standings = new Map<number, Standing>();
const idOf = (pack: number) => `00000000-0000-4000-8000-${String(pack).padStart(12, "0")}`;
const numberOf = (id: string) => Number(id.slice(-12));
/** Packs in an order that is not that of their ids: 37 and 60 share no divisor. */
const PACKS = Array.from({ length: 60 }, (_, i) => ((i * 37) % 60) + 1);
const chemistryOf = (pack: number) => (pack % 3 === 0 ? "lihv" : "lipo");
const massOf = (pack: number) => (pack % 5 === 0 ? null : 100 + pack);
const makerOf = (pack: number) => (pack % 4 === 0 ? "Orrin" : "Halden Cells");
const connectorOf = (pack: number) => (pack % 2 === 0 ? "EC5" : null);

beforeAll(async () => {
  app = await startTestApp();
  await app.signIn("anna");
  const { id } = await app.database.account.findFirstOrThrow({ where: { handle: "anna" } });
  await app.database.pack.createMany({
    data: PACKS.map((pack) => ({
      id: idOf(pack),
      maker: makerOf(pack),
      name: `P${pack}`,
      chemistry: chemistryOf(pack),
      series: 2 + (pack % 4),
      parallel: 1,
      ratedCapacityMah: 1000 + pack,
      massGrams: massOf(pack),
      connector: connectorOf(pack),
      createdById: id,
    })),
  });
  for (const pack of PACKS) {
    const uncertainty = pack % 10 === 0 ? 40 : pack % 7 === 0 ? 0 : 3 + (pack % 3);
    standings.set(pack, { value: 5 * Math.round((pack * 13) % 60), uncertainty, established: pack % 3 === 0 });
  }
  await app.database.standing.createMany({ data: PACKS.map(rowOf) });
});
afterAll(() => app.close());

/** A pack's standing as a row. */
function rowOf(pack: number) {
  const { value, uncertainty, established } = standings.get(pack) as Standing;
  return {
    protocolKey: "full-load",
    protocolVersion: 1,
    computationVersion: 1,
    figure: "power-10s",
    load: 80,
    packId: idOf(pack),
    chemistry: chemistryOf(pack),
    series: 2 + (pack % 4),
    ratedCapacityMah: 1000 + pack,
    value,
    unit: "W",
    uncertainty,
    testers: 1,
    runs: 1,
    established,
    basis: "translated",
    sortValue: value,
  };
}

interface Item {
  readonly place: number | null;
  readonly placeRange: number[] | null;
  readonly value: number;
  readonly pack: { id: string };
  readonly tiedWith: string[];
}
interface Answer {
  readonly items: Item[];
  readonly pageInfo: { endCursor: string; startCursor: string; hasNextPage: boolean; hasPreviousPage: boolean };
  readonly errors?: { pointer: string }[];
}

/** All standings, unless the query says which. */
async function ask(query: string): Promise<Answer> {
  return (
    await app.inject({
      url: `/v1/rankings/power-10s?load=80&${query.includes("standing=") ? "" : "standing=all&"}${query}`,
    })
  ).json<Answer>();
}

/** The whole ranking by pages, from the front or from the back. */
async function walk(query: string, backward = false): Promise<Item[]> {
  const items: Item[] = [];
  let at = "";
  for (;;) {
    const page = await ask(`${query}&${backward ? "last" : "first"}=7${at}`);
    if (backward) items.unshift(...page.items);
    else items.push(...page.items);
    const { endCursor, startCursor, hasNextPage, hasPreviousPage } = page.pageInfo;
    if (!(backward ? hasPreviousPage : hasNextPage)) return items;
    at = backward ? `&before=${startCursor}` : `&after=${endCursor}`;
  }
}

/** The ranking of some packs by the definitions alone. */
function plainly(isMember: (pack: number) => boolean, values = standings, shown = "all") {
  const all = [...values].filter(([pack]) => isMember(pack)).map(([pack, one]) => ({ pack, ...one }));
  all.sort((a, b) => b.value - a.value || a.pack - b.pack);
  const members = all.filter(({ established }) => established);
  const listed = all.filter(({ established }) => shown === "all" || established === (shown === "established"));
  return listed.map((mine) => {
    if (!mine.established) {
      return { pack: mine.pack, value: mine.value, place: null, placeRange: null, tiedWith: [] };
    }
    const reach = (other: typeof mine) => 2 * Math.hypot(other.uncertainty, mine.uncertainty);
    const distance = (other: typeof mine) => Math.abs(other.value - mine.value);
    const tied = members.filter((other) => other !== mine && distance(other) <= reach(other));
    tied.sort((a, b) => distance(a) - distance(b) || a.pack - b.pack);
    return {
      pack: mine.pack,
      value: mine.value,
      place: 1 + members.filter((other) => other.value > mine.value).length,
      placeRange: [
        1 + members.filter((other) => other.value - mine.value > reach(other)).length,
        members.filter((other) => mine.value - other.value <= reach(other)).length,
      ],
      tiedWith: tied.slice(0, 50).map(({ pack }) => pack),
    };
  });
}
const shown = (items: readonly Item[]) =>
  items.map(({ pack, value, place, placeRange, tiedWith }) => {
    return { pack: numberOf(pack.id), value, place, placeRange, tiedWith: tiedWith.map(numberOf) };
  });

describe("a ranking held in memory", () => {
  it.each(["", "order=worst-first"])("is walked in both directions, each standing as defined: %s", async (query) => {
    const expected = plainly(() => true);
    const listed = query ? expected.toReversed() : expected;
    expect(shown(await walk(query))).toEqual(listed);
    expect(shown(await walk(query, true))).toEqual(listed);
  });

  it.each<[string, (pack: number) => boolean]>([
    ["chemistry=lihv", (pack) => chemistryOf(pack) === "lihv"],
    ["chemistry=lihv,lipo&series=2,3", (pack) => pack % 4 < 2],
    ["series=2&series=5", (pack) => pack % 4 === 0 || pack % 4 === 3],
    ["capacityMin=1010&capacityMax=1030", (pack) => pack >= 10 && pack <= 30],
    ["massMin=120.5", (pack) => (massOf(pack) ?? 0) >= 120.5],
    ["massMax=130", (pack) => (massOf(pack) ?? 999) <= 130],
    ["maker=orrin", (pack) => makerOf(pack) === "Orrin"],
    ["maker=Orrin,Halden%20Cells&connector=ec5", (pack) => connectorOf(pack) !== null],
    ["connector=XT60", () => false],
    ["standing=all&maker=Orrin&chemistry=lipo&massMin=0", (pack) => pack % 4 === 0 && pack % 3 > 0 && pack % 5 > 0],
  ])("is narrowed by %s, with places among those that are left", async (query, isMember) => {
    const expected = plainly(isMember);
    expect(shown(await walk(query))).toEqual(expected);
    expect(shown(await walk(`${query}&order=worst-first`, true))).toEqual(expected.toReversed());
  });

  it.each(["established", "provisional"])("lists %s standings alone", async (shown_) => {
    const expected = plainly(() => true, standings, shown_);
    expect(expected.length).toBeGreaterThan(0);
    expect(shown(await walk(`standing=${shown_}`))).toEqual(expected);
    expect(shown(await walk(`standing=${shown_}&order=worst-first`, true))).toEqual(expected.toReversed());
  });

  it("lists established standings unless others are asked for, and says how many there are and what makes one", async () => {
    const plain = (await app.inject({ url: "/v1/rankings/power-10s?load=80&first=100" })).json<Answer>();
    expect(shown(plain.items)).toEqual(plainly(() => true, standings, "established"));
    expect(plain).toMatchObject({
      established: 20,
      provisional: 40,
      policy: { testers: 3, referenceTesters: 2, vouchedOnly: false },
      referenceTesters: 0,
      gap: null,
    });
  });

  it("counts its standings, and says the same in GraphQL", async () => {
    const query = `{ ranking(figure: POWER_10S, load: 80, standing: ALL, chemistry: [LIHV], series: [2, 4], order: WORST_FIRST) {
      totalCount edges { node { place placeRange pack { id } } } } }`;
    const { body } = await app.graphql(query);
    const rest = await ask("chemistry=lihv&series=2,4&order=worst-first");
    const edges = rest.items.map(({ place, placeRange, pack }) => ({
      node: { place, placeRange, pack: { id: pack.id } },
    }));
    expect(body.data).toEqual({ ranking: { totalCount: edges.length, edges } });
  });

  it("takes a cursor of the same end alone", async () => {
    const { pageInfo } = await ask("first=3");
    const answer = await app.inject({
      url: `/v1/rankings/power-10s?load=80&order=worst-first&after=${pageInfo.endCursor}`,
    });
    expect(answer.statusCode).toBe(400);
  });

  it("shows what another connection has changed, at the next read", async () => {
    const before = plainly(() => true);
    const { database } = app;
    await database.standing.updateMany({ where: { packId: idOf(7) }, data: { value: 1000, sortValue: 1000 } });
    standings.set(7, { ...(standings.get(7) as Standing), value: 1000 });
    await database.standing.deleteMany({ where: { packId: idOf(8) } });
    standings.delete(8);
    expect(shown(await walk(""))).toEqual(plainly(() => true));
    expect(plainly(() => true)).not.toEqual(before);
    await database.pack.update({ where: { id: idOf(12) }, data: { maker: "Tamarisk", name: "Other" } });
    const { items } = await ask("maker=tamarisk");
    expect(items.map(({ pack }) => pack)).toMatchObject([{ id: idOf(12), name: "Other", maker: "Tamarisk" }]);
    await database.pack.update({ where: { id: idOf(12) }, data: { maker: makerOf(12), name: "P12" } });
  });

  it("does not change where standings are written anew as they were", async () => {
    const states = async () => {
      const rows = await app.database.standingHistory.findMany({
        where: { packId: idOf(9) },
        orderBy: { fromRevision: "asc" },
      });
      return rows.map(({ fromRevision, toRevision }) => [fromRevision, toRevision]);
    };
    const [first = []] = await states();
    await app.database.$transaction(async (tx) => {
      await tx.standing.deleteMany({ where: { packId: idOf(9) } });
      await tx.standing.create({ data: rowOf(9) });
    });
    expect(await states()).toEqual([first]);
    await app.database.standing.deleteMany({ where: { packId: idOf(9) } });
    await app.database.standing.create({ data: rowOf(9) });
    const [closed = [], open = []] = await states();
    expect([closed[0], open[1]]).toEqual(first);
    expect(Number(open[0])).toBeGreaterThanOrEqual(Number(closed[1]));
    expect(shown(await walk(""))).toEqual(plainly(() => true));
  });
});

describe("a ranking as of a day", () => {
  it("is that at the end of the day, whatever has changed since", async () => {
    const { pool } = app.database;
    const then = new Map(standings);
    // What stands was so from the second of March on; a day later one pack goes and another changes.
    await pool.query("UPDATE standing_history SET valid_to = '2026-03-01Z' WHERE valid_to < 'infinity'");
    await pool.query("UPDATE standing_history SET valid_from = '2026-03-01Z' WHERE valid_to < 'infinity'");
    await pool.query("UPDATE standing_history SET valid_from = '2026-03-02T12:00Z' WHERE valid_to = 'infinity'");
    await app.database.standing.deleteMany({ where: { packId: idOf(20) } });
    await app.database.standing.updateMany({ where: { packId: idOf(21) }, data: { value: 1, sortValue: 1 } });
    await pool.query(
      `UPDATE standing_history SET valid_to = '2026-03-03T00:00Z' WHERE pack_id IN ($1, $2)
      AND valid_to < 'infinity' AND valid_to > '2026-03-02Z'`,
      [idOf(20), idOf(21)],
    );
    standings.delete(20);
    standings.set(21, { ...(then.get(21) as Standing), value: 1 });
    expect(shown(await walk("asOf=2026-03-01"))).toEqual([]);
    expect(shown(await walk("asOf=2026-03-02"))).toEqual(plainly(() => true, then));
    expect(shown(await walk("asOf=2026-03-02&chemistry=lihv", true))).toEqual(plainly((pack) => pack % 3 === 0, then));
    expect(shown(await walk(""))).toEqual(plainly(() => true));
    const today = new Date().toISOString().slice(0, 10);
    expect(shown(await walk(`asOf=${today}`))).toEqual(plainly(() => true));
  });

  it("filters by what is known of packs now", async () => {
    expect((await ask("asOf=2026-03-02&maker=Tamarisk")).items).toEqual([]);
    await app.database.pack.update({ where: { id: idOf(30) }, data: { maker: "Tamarisk" } });
    expect((await ask("asOf=2026-03-02&maker=Tamarisk")).items.map(({ pack }) => pack.id)).toEqual([idOf(30)]);
  });

  it.each(["2026-02-30", "yesterday", "9999-01-01", "2026-03-02T00:00:00Z"])("refuses %s", async (day) => {
    const answer = await app.inject({ url: `/v1/rankings/power-10s?asOf=${day}` });
    expect([answer.statusCode, answer.json<Answer>().errors?.[0]?.pointer]).toEqual([422, "/asOf"]);
  });
});

describe("history of standings", () => {
  it("has no state that overlaps another of the same standing, and one open state for each standing", async () => {
    const { rows } = await app.database.pool.query(`
      SELECT a.pack_id FROM standing_history a JOIN standing_history b USING (protocol_key, figure, load, pack_id)
      WHERE a.from_revision < b.from_revision AND a.to_revision > b.from_revision`);
    expect(rows).toEqual([]);
    const open = await app.database.pool.query(`
      SELECT count(*)::int AS states, (SELECT count(*)::int FROM standing) AS standings
      FROM standing_history JOIN standing USING (protocol_key, figure, load, pack_id, value, uncertainty, sort_value, established)
      WHERE to_revision = 9223372036854775807`);
    expect(open.rows[0]?.states).toBe(open.rows[0]?.standings);
  });
});
