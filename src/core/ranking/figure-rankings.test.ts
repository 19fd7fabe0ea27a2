import { describe, expect, it } from "@jest/globals";
import fc from "fast-check";
import { STANDINGS_SHOWN, type StandingsShown } from "./changing-order.js";
import { FigureRankings, type RankingChange } from "./figure-rankings.js";
import type { PackFilter, RankedPackFacts } from "./ranked-packs.js";

const RULES = { k: 2, tiesNamed: 50 };
const ALL: PackFilter = {
  chemistries: [],
  series: [],
  makers: [],
  connectors: [],
  capacityMin: null,
  capacityMax: null,
  massMin: null,
  massMax: null,
};

interface Standing {
  readonly facts: RankedPackFacts;
  readonly load: number;
  readonly value: number;
  readonly uncertainty: number;
  readonly established: boolean;
}

/** Each listed standing of a class with what is said of it, by the definitions alone and in no clever way. */
function plainly(standings: readonly Standing[], shown: StandingsShown = "all"): unknown[] {
  const all = standings.toSorted((a, b) => b.value - a.value || (a.facts.id < b.facts.id ? -1 : 1));
  const order = all.filter(({ established }) => established);
  const listed = all.filter(({ established }) => shown === "all" || established === (shown === "established"));
  return listed.map((mine) => {
    if (!mine.established) return { id: mine.facts.id };
    const reach = (other: Standing) => 2 * Math.sqrt(other.uncertainty ** 2 + mine.uncertainty ** 2);
    const distance = (other: Standing) => Math.abs(other.value - mine.value);
    const tied = order.filter((other) => other !== mine && distance(other) <= reach(other));
    tied.sort((a, b) => distance(a) - distance(b) || (a.facts.id < b.facts.id ? -1 : 1));
    return {
      id: mine.facts.id,
      place: 1 + order.filter((other) => other.value > mine.value).length,
      bestPlace: 1 + order.filter((other) => other.value - mine.value > reach(other)).length,
      worstPlace: order.filter((other) => mine.value - other.value <= reach(other)).length,
      tiedWith: tied.slice(0, 50).map(({ facts }) => facts.id),
    };
  });
}

function byRankings(rankings: FigureRankings, load: number, filter = ALL, shown: StandingsShown = "all"): unknown[] {
  const { order, placeAt } = rankings.classAt(load, filter, shown);
  return Array.from({ length: order.length }, (_, index) => {
    const id = rankings.packs.idOf(order.packs[index] as number);
    const placed = placeAt(index);
    return placed ? { id, ...placed, tiedWith: placed.tiedWith.map((pack) => rankings.packs.idOf(pack)) } : { id };
  });
}

const changeTo = (facts: RankedPackFacts, standings: readonly Standing[]): RankingChange => ({
  id: facts.id,
  facts,
  standings,
});

/** Numbers with many equal ones, zero and negative ones among them; spread widely in half of the cases. */
const standing = fc.record({
  facts: fc.record({
    id: fc.uuid(),
    chemistry: fc.constantFrom("lipo", "lihv"),
    series: fc.integer({ min: 1, max: 4 }),
    ratedCapacityMah: fc.constantFrom(1000, 2000.5, 5000),
    massGrams: fc.constantFrom(null, 100, 250),
    connector: fc.constantFrom(null, "XT60", "xt60", "EC5"),
    maker: fc.constantFrom("Halden Cells", "Orrin"),
  }),
  load: fc.constantFrom(0, 80),
  value: fc.oneof(fc.integer({ min: -3, max: 6 }), fc.double({ min: -50, max: 1000, noNaN: true })),
  uncertainty: fc.oneof(fc.constantFrom(0, 0.5, 1), fc.double({ min: 0, max: 20, noNaN: true })),
  established: fc.boolean(),
});
const someStandings = fc.uniqueArray(standing, { selector: ({ facts }) => facts.id, maxLength: 60 });

function rankingsOf(standings: readonly Standing[]): FigureRankings {
  const rankings = new FigureRankings(0, RULES);
  rankings.apply(
    1,
    standings.map((one) => changeTo(one.facts, [one])),
  );
  return rankings;
}

/** A small generator of numbers from 0 to 1 (mulberry32), so that the large class is the same in each run. */
function numbersFrom(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

describe("rankings by a figure", () => {
  it("give each established standing the place, range and ties that the definitions give at each load, and no other a place", () => {
    fc.assert(
      fc.property(someStandings, (standings) => {
        const rankings = rankingsOf(standings);
        for (const load of [0, 80]) {
          expect(byRankings(rankings, load)).toEqual(plainly(standings.filter((one) => one.load === load)));
        }
      }),
      { numRuns: 300 },
    );
  });

  it("give the same for a large class, most of which is passed over in blocks", () => {
    const random = numbersFrom(7);
    const standings = Array.from({ length: 1_500 }, (_, i): Standing => {
      const value = 10 ** (1 + 3 * random());
      // One standing in thirty is known badly, and one in five has the value of another.
      const share = random() < 1 / 30 ? 0.01 + 0.3 * random() : 0.002 + 0.007 * random();
      const rounded = random() < 0.2 ? Math.round(value / 100) * 100 : value;
      const id = `00000000-0000-4000-8000-${((i * 7919) % 1_500).toString(16).padStart(12, "0")}`;
      const facts = {
        id,
        chemistry: "lipo",
        series: 4,
        ratedCapacityMah: 1,
        massGrams: null,
        connector: null,
        maker: "a",
      };
      return { facts, load: 0, value: rounded, uncertainty: share * value, established: true };
    });
    expect(byRankings(rankingsOf(standings), 0)).toEqual(plainly(standings));
  });

  it("stay so while packs come, move and go", () => {
    fc.assert(
      fc.property(
        someStandings,
        fc.array(fc.tuple(fc.nat(), fc.option(standing)), { maxLength: 30 }),
        (first, later) => {
          const now = new Map(first.map((one) => [one.facts.id, one]));
          const rankings = rankingsOf(first);
          later.forEach(([at, change], revision) => {
            const old = [...now.values()][at % Math.max(1, now.size)];
            const facts = old && at % 3 > 0 ? old.facts : change?.facts;
            if (!facts) return;
            const moved = change ? { ...change, facts } : null;
            if (moved) now.set(facts.id, moved);
            else now.delete(facts.id);
            rankings.apply(revision + 2, [changeTo(facts, moved ? [moved] : [])]);
            rankings.classAt(80, ALL, "all");
          });
          for (const load of [0, 80]) {
            expect(byRankings(rankings, load)).toEqual(plainly([...now.values()].filter((one) => one.load === load)));
          }
        },
      ),
      { numRuns: 200 },
    );
  });

  it("of a class are among its packs alone, and counts are of them", () => {
    const filter = fc.record({
      chemistries: fc.subarray(["lipo", "lihv"]),
      series: fc.subarray([1, 2, 3, 9]),
      makers: fc.subarray(["halden cells", "ORRIN", "nobody"]),
      connectors: fc.subarray(["Xt60", "EC5"]),
      capacityMin: fc.constantFrom(null, 1000, 2000.5),
      capacityMax: fc.constantFrom(null, 1999, 5000),
      massMin: fc.constantFrom(null, 100),
      massMax: fc.constantFrom(null, 249.9),
    });
    fc.assert(
      fc.property(someStandings, filter, fc.constantFrom(...STANDINGS_SHOWN), (standings, asked, shown) => {
        const isIn = ({ facts }: Standing) => isAmong(facts, asked);
        const members = standings.filter(isIn);
        const rankings = rankingsOf(standings);
        for (const load of [0, 80]) {
          const atLoad = members.filter((one) => one.load === load);
          expect(byRankings(rankings, load, asked, shown)).toEqual(plainly(atLoad, shown));
          const established = atLoad.filter((one) => one.established).length;
          const counted = rankings.loadsOf(asked).find((one) => one.load === load);
          expect(rankings.countsAt(load, asked)).toEqual({ load, standings: atLoad.length, established });
          expect(counted ?? null).toEqual(atLoad.length ? { load, standings: atLoad.length, established } : null);
        }
      }),
      { numRuns: 300 },
    );
  });
});

function isAmong(facts: RankedPackFacts, asked: PackFilter): boolean {
  const { chemistries, series, makers, connectors, capacityMin, capacityMax, massMin, massMax } = asked;
  const lower = (words: readonly string[]) => words.map((word) => word.toLowerCase());
  const inBand = (value: number | null, min: number | null, max: number | null) =>
    (min === null && max === null) || (value !== null && value >= (min ?? -Infinity) && value <= (max ?? Infinity));
  return (
    (chemistries.length === 0 || chemistries.includes(facts.chemistry)) &&
    (series.length === 0 || series.includes(facts.series)) &&
    (makers.length === 0 || lower(makers).includes(facts.maker.toLowerCase())) &&
    (connectors.length === 0 || lower(connectors).includes((facts.connector ?? "-").toLowerCase())) &&
    inBand(facts.ratedCapacityMah, capacityMin, capacityMax) &&
    inBand(facts.massGrams, massMin, massMax)
  );
}
