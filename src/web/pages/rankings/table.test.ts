import { describe, expect, it } from "@jest/globals";
import type { View } from "../../api/public-api.js";
import { standingsTable } from "./table.js";

const standing = (more: Partial<View<"StandingView">>): View<"StandingView"> => ({
  value: 1400,
  unit: "W",
  uncertainty: 5,
  coverageFactor: 2,
  basis: "translated",
  testers: 3,
  runs: 4,
  established: true,
  disputed: false,
  place: 1,
  placeRange: [1, 2],
  protocolVersion: 1,
  computationVersion: 1,
  tiedWith: [],
  pack: {
    id: "a",
    maker: "Maker",
    name: "Pack",
    chemistry: "lipo",
    series: 4,
    parallel: 1,
    ratedCapacityMah: 5000,
    status: "confirmed",
  },
  ...more,
});

describe("a table of standings", () => {
  const text = standingsTable([standing({}), standing({ established: false, place: null, value: 1380 })], "Power").text;
  const [, first = "", second = ""] = text.split("<tr class=");

  it("tells established and provisional packs apart in words and by the shape of the mark, not by colour alone", () => {
    expect(first).toMatch(/<b>1<\/b>/);
    expect(first).toMatch(/<circle/);
    expect(first).not.toMatch(/provisional/);
    expect(second).toMatch(/>provisional</);
    expect(second).not.toMatch(/<circle/);
  });

  it("says in words which values are disputed, and of no others", () => {
    expect(standingsTable([standing({ disputed: true })], "Power").text).toMatch(/>disputed</);
    expect(text).not.toMatch(/disputed/);
  });

  it("draws all intervals U = k u to one scale, by hand: 1370 to 1410 in steps of 10", () => {
    expect(first).toContain('class="range" x1="50%" x2="100%"');
    expect(second).toContain('class="range" x1="0%" x2="50%"');
    expect(first).toContain("\u00b1\u202f10");
  });
});
