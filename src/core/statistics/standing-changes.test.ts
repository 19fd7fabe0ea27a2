import { describe, expect, test } from "@jest/globals";
import { type RankedStanding, standingChanges } from "./standing-changes.js";

const standing = (packId: string, value: number, more: Partial<RankedStanding> = {}): RankedStanding => ({
  packId,
  figure: "power-10s",
  load: 100,
  chemistry: "lipo",
  series: 4,
  unit: "W",
  value,
  uncertainty: 5,
  sortValue: value,
  ...more,
});

describe("changes of standings", () => {
  test("are none where nothing differs", () => {
    const standings = [standing("a", 900), standing("b", 800), standing("b", 30, { figure: "capacity" })];
    expect(standingChanges(standings, standings.toReversed())).toEqual([]);
  });

  test("tell place and value before and after, the largest change of place first", () => {
    const before = [standing("a", 900), standing("b", 800), standing("c", 700)];
    const after = [standing("a", 600), standing("b", 800), standing("c", 701)];
    expect(standingChanges(before, after).map(({ packId, from, to }) => [packId, from?.place, to?.place])).toEqual([
      ["a", 1, 3],
      ["c", 3, 2],
      ["b", 2, 1],
    ]);
  });

  test("tell those that come and go first", () => {
    const changes = standingChanges([standing("a", 900), standing("b", 800)], [standing("a", 910), standing("c", 5)]);
    expect(changes).toEqual([
      {
        packId: "b",
        figure: "power-10s",
        load: 100,
        unit: "W",
        from: { value: 800, uncertainty: 5, place: 2 },
        to: null,
      },
      {
        packId: "c",
        figure: "power-10s",
        load: 100,
        unit: "W",
        from: null,
        to: { value: 5, uncertainty: 5, place: 2 },
      },
      {
        packId: "a",
        figure: "power-10s",
        load: 100,
        unit: "W",
        from: { value: 900, uncertainty: 5, place: 1 },
        to: { value: 910, uncertainty: 5, place: 1 },
      },
    ]);
  });

  test("keep classes apart, and let equal values share a place", () => {
    const before = [standing("a", 900), standing("b", 900), standing("c", 950, { series: 6 })];
    const after = [standing("a", 900), standing("b", 890), standing("c", 950, { series: 6 })];
    expect(standingChanges(before, after)).toEqual([
      expect.objectContaining({
        packId: "b",
        from: { value: 900, uncertainty: 5, place: 1 },
        to: { value: 890, uncertainty: 5, place: 2 },
      }),
    ]);
  });
});
