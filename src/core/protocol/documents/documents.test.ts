import { describe, expect, test } from "@jest/globals";
import { FIGURE_KEYS } from "../../figures/catalogue.js";
import { LADDER_FIGURE_KEYS } from "../../ladder/figures.js";
import { LARGEST_ZERO_SHARE } from "../../trace/normalise.js";
import { PROTOCOLS } from "../index.js";
import { RULES } from "../rules/index.js";

describe.each(PROTOCOLS.map((protocol) => [`${protocol.key} ${protocol.version}`, protocol] as const))(
  "the protocol %s",
  (_, protocol) => {
    const ids = protocol.rules.map(({ rule }) => rule);

    test("sets each of its rules once, and every one exists", () => {
      expect(new Set(ids).size).toBe(ids.length);
      expect(ids.filter((id) => !RULES.has(id))).toEqual([]);
    });

    test("comes back from JSON as it was", () => {
      expect(JSON.parse(JSON.stringify(protocol))).toStrictEqual(protocol);
    });

    test("ranks by figures that exist, each once", () => {
      const ranked = protocol.ranked.map(({ figure, basis }) => `${figure} ${basis}`);
      expect(new Set(ranked).size).toBe(ranked.length);
      const given = [...protocol.figures, ...(protocol.load.kind === "set-current" ? LADDER_FIGURE_KEYS : [])];
      expect(protocol.ranked.filter(({ figure }) => !given.includes(figure))).toEqual([]);
      expect(protocol.figures.filter((figure) => !FIGURE_KEYS.includes(figure))).toEqual([]);
      expect(new Set(protocol.figures).size).toBe(protocol.figures.length);
    });

    test("has cell voltages in the order that a discharge meets them", () => {
      for (const cell of Object.values(protocol.cells)) {
        const falling = [cell.highest, cell.full, cell.settled, cell.nominal, cell.cutoff ?? cell.lowest, cell.lowest];
        expect(falling).toEqual([...falling].sort((a, b) => b - a));
      }
    });

    test("fails the load level exactly where nothing is translated", () => {
      const level = protocol.rules.find(({ rule }) => rule === "load-level");
      const reference = protocol.load.kind === "full" ? protocol.load.reference : null;
      const range = reference && { minimum: reference.lowestRatio, maximum: reference.highestRatio };
      expect(level?.limit ?? null).toEqual(range);
    });

    test("fails the current's zero exactly where the offset is not subtracted", () => {
      const zero = protocol.rules.find(({ rule }) => rule === "current-zero");
      expect((zero?.limit.maximumPercent ?? Number.NaN) / 100).toBe(LARGEST_ZERO_SHARE);
    });

    test("names a source for its limits and carries the cautions", () => {
      expect(protocol.sources.length).toBeGreaterThan(0);
      expect(protocol.cautions.length).toBeGreaterThan(0);
    });
  },
);

test("every rule is set by a protocol, under its own name", () => {
  const set = new Set(PROTOCOLS.flatMap(({ rules }) => rules.map(({ rule }) => rule)));
  for (const [id, rule] of RULES) {
    expect(rule.id).toBe(id);
    expect([id, set.has(id)]).toEqual([id, true]);
  }
});

test("a 4-cell pack is cut off at 13.2 V (common practice, no published source)", () => {
  expect(4 * (PROTOCOLS[0]?.cells.lipo.cutoff ?? Number.NaN)).toBeCloseTo(13.2, 12);
});
