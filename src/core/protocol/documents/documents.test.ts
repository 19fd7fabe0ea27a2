import { describe, expect, test } from "@jest/globals";
import { FIGURE_KEYS } from "../../figures/catalogue.js";
import { PROTOCOLS } from "../index.js";
import { protocolProblems } from "../problems.js";
import { RULES } from "../rules/index.js";

describe.each(PROTOCOLS.map((protocol) => [`${protocol.key} ${protocol.version}`, protocol] as const))(
  "the protocol %s",
  (_, protocol) => {
    test("fits its schema, and its parts fit together", () => {
      expect(protocolProblems(protocol)).toEqual([]);
    });

    test("comes back from JSON as it was", () => {
      expect(JSON.parse(JSON.stringify(protocol))).toStrictEqual(protocol);
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

test("every figure is listed by a protocol: one that is not is computed for no run", () => {
  const listed = new Set(PROTOCOLS.flatMap(({ figures }) => figures));
  expect(FIGURE_KEYS.filter((key) => !listed.has(key))).toEqual([]);
});

test("a 4-cell pack is cut off at 13.2 V (common practice, no published source)", () => {
  expect(4 * (PROTOCOLS[0]?.cells.lipo.cutoff ?? Number.NaN)).toBeCloseTo(13.2, 12);
});
