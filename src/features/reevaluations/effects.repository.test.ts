import { afterAll, beforeAll, describe, expect, test } from "@jest/globals";
import { cloneDatabase, type TestDatabase } from "../../../test/support/database.js";
import { PACK } from "../../../test/support/facts.js";
import { Database } from "../../platform/database/database.js";
import { EffectsRepository } from "./effects.repository.js";

interface Ranked {
  readonly pack: string;
  readonly value: number;
  readonly figure?: string;
  readonly series?: number;
}

const standing = (pack: string, value: number, more: Partial<Ranked> = {}): Ranked => ({ pack, value, ...more });

let clone: TestDatabase;
let database: Database;
const ids = new Map<string, string>();
beforeAll(async () => {
  clone = await cloneDatabase();
  database = new Database(clone.connectionString, 2);
  const { id: createdById } = await database.account.create({ data: { handle: "anna" } });
  for (const name of ["a", "b", "c"]) {
    const { id } = await database.pack.create({ data: { ...PACK, maker: "Halden Cells", name, createdById } });
    ids.set(name, id);
  }
});
afterAll(async () => {
  await database.onApplicationShutdown();
  await clone.drop();
});

const rowOf = ({ pack, value, figure = "power-10s", series = 4 }: Ranked) => ({
  protocolKey: "full-load",
  protocolVersion: 1,
  computationVersion: 1,
  figure,
  load: 100,
  packId: ids.get(pack) ?? "",
  chemistry: "lipo",
  series,
  ratedCapacityMah: 5000,
  value,
  unit: "W",
  uncertainty: 5,
  testers: 1,
  runs: 1,
  established: false,
  basis: "translated",
  sortValue: value,
});

const snake = (row: object) =>
  Object.fromEntries(
    Object.entries(row).map(([key, value]) => [key.replaceAll(/[A-Z]/g, (at) => `_${at.toLowerCase()}`), value]),
  );

/** What a re-evaluation of these standings says that it changes; packs by their names. */
async function changes(before: readonly Ranked[], after: readonly Ranked[]) {
  class Undone extends Error {}
  let found: unknown[] = [];
  const names = new Map([...ids].map(([name, id]) => [id, name]));
  const trial = database.$transaction(async (tx) => {
    await tx.standing.createMany({ data: before.map(rowOf) });
    const target = { protocolKey: "full-load", protocolVersion: 1, computationVersion: 1 };
    const { id } = await tx.reevaluation.create({ data: { ...target, dryRun: false } });
    for (const [packId, own] of Map.groupBy(after.map(rowOf), (row) => row.packId)) {
      const data = { reevaluationId: id, packId, standings: own.map(snake), results: [], confirmed: [], scatter: [] };
      await tx.preparedPack.create({ data });
    }
    const effects = await new EffectsRepository().of(tx, id, "full-load");
    expect(effects).toMatchObject({ standings: after.length, standingsChanged: effects.standingChanges.length });
    found = effects.standingChanges.map((one) => ({ ...one, packId: names.get(one.packId) }));
    throw new Undone();
  });
  await expect(trial).rejects.toThrow(Undone);
  return found as { packId: string; from: { place: number } | null; to: { place: number } | null }[];
}

describe("changes of standings", () => {
  test("are none where nothing differs", async () => {
    const standings = [standing("a", 900), standing("b", 800), standing("b", 30, { figure: "capacity" })];
    expect(await changes(standings, standings.toReversed())).toEqual([]);
  });

  test("tell place and value before and after, the largest change of place first", async () => {
    const before = [standing("a", 900), standing("b", 800), standing("c", 700)];
    const after = [standing("a", 600), standing("b", 800), standing("c", 701)];
    expect((await changes(before, after)).map(({ packId, from, to }) => [packId, from?.place, to?.place])).toEqual([
      ["a", 1, 3],
      ["c", 3, 2],
      ["b", 2, 1],
    ]);
  });

  test("tell those that come and go first", async () => {
    const found = await changes([standing("a", 900), standing("b", 800)], [standing("a", 910), standing("c", 5)]);
    const at = { figure: "power-10s", load: 100, unit: "W" };
    expect(found).toEqual([
      { packId: "b", ...at, from: { value: 800, uncertainty: 5, place: 2 }, to: null },
      { packId: "c", ...at, from: null, to: { value: 5, uncertainty: 5, place: 2 } },
      {
        packId: "a",
        ...at,
        from: { value: 900, uncertainty: 5, place: 1 },
        to: { value: 910, uncertainty: 5, place: 1 },
      },
    ]);
  });

  test("keep classes apart, and let equal values share a place", async () => {
    const before = [standing("a", 900), standing("b", 900), standing("c", 950, { series: 6 })];
    const after = [standing("a", 900), standing("b", 890), standing("c", 950, { series: 6 })];
    expect(await changes(before, after)).toEqual([
      expect.objectContaining({
        packId: "b",
        from: { value: 900, uncertainty: 5, place: 1 },
        to: { value: 890, uncertainty: 5, place: 2 },
      }),
    ]);
  });
});
