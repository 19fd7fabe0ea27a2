import { describe, expect, test } from "@jest/globals";
import { CONDITION_FACTS, CONDITION_KEYS, conditionsOf } from "./conditions.js";
import type { Facts } from "./fact.js";
import type { InputError } from "./input-error.js";
import { readFacts } from "./read-facts.js";

const FACTS = {
  name: { kind: "text", description: "Name", max: 5 },
  count: { kind: "integer", description: "Count", min: 1, max: 9 },
  share: { kind: "number", description: "Share", above: 0, max: 1, optional: true },
  side: { kind: "choice", description: "Side", values: ["left", "right"], optional: true },
  part: {
    kind: "group",
    description: "Part",
    members: { grams: { kind: "number", description: "Mass", min: 0, max: 9 } },
    optional: true,
  },
} as const satisfies Facts;

function problems(value: unknown): Record<string, string> {
  const errors: InputError[] = [];
  readFacts(FACTS, value, "", errors);
  return Object.fromEntries(errors.map(({ pointer, message }) => [pointer, message]));
}

describe("declared members", () => {
  test("are read with white space removed, equal letters in one spelling, and null for what is left out", () => {
    const errors: InputError[] = [];
    expect(readFacts(FACTS, { name: " a\u0301 ", count: 3 }, "", errors)).toEqual({
      name: "\u00e1",
      count: 3,
      share: null,
      side: null,
      part: null,
    });
    expect(errors).toEqual([]);
  });

  test.each([
    [null, { "": "must be an object" }],
    [[], { "": "must be an object" }],
    [{ count: 1 }, { "/name": "must be a string" }],
    [{ name: " ", count: 1 }, { "/name": "must have at least 1 characters" }],
    [{ name: "longer", count: 1 }, { "/name": "must have at most 5 characters" }],
    [{ name: "a\u200bb", count: 1 }, { "/name": "must not contain control characters or invisible ones" }],
    [{ name: "a", count: 1.5 }, { "/count": "must be an integer" }],
    [{ name: "a", count: "1" }, { "/count": "must be an integer" }],
    [{ name: "a", count: 0 }, { "/count": "must be at least 1" }],
    [{ name: "a", count: 10 }, { "/count": "must be at most 9" }],
    [{ name: "a", count: 1, share: 0 }, { "/share": "must be larger than 0" }],
    [{ name: "a", count: 1, share: Number.NaN }, { "/share": "must be a number" }],
    [{ name: "a", count: 1, side: "top" }, { "/side": "must be one of: left, right" }],
    [{ name: "a", count: 1, part: 1 }, { "/part": "must be an object" }],
    [{ name: "a", count: 1, part: {} }, { "/part/grams": "must be a number" }],
    [
      { name: "a", count: 1, "x/y": 1, toString: 1 },
      { "/x~1y": "is not known here", "/toString": "is not known here" },
    ],
  ])("that do not fit are named with what is wrong: %j", (value, expected) => {
    expect(problems(value)).toEqual(expected);
  });
});

test("conditions of a row or an input are all of them, those left out as null", () => {
  expect(conditionsOf({ ambientC: 21 })).toEqual({
    ambientC: 21,
    restMinutes: null,
    cycles: null,
    setpointA: null,
    stateOfChargePercent: null,
  });
  expect(Object.keys(CONDITION_FACTS)).toEqual([...CONDITION_KEYS]);
});
