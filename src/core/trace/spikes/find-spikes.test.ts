import { describe, expect, test } from "@jest/globals";
import { findSpikes, unanswered } from "./find-spikes.js";

const level = (length = 21) => new Float64Array(length).fill(10);
const with_ = (changes: Readonly<Record<number, number>>, values = level()) => {
  for (const [i, value] of Object.entries(changes)) values[Number(i)] = value;
  return values;
};
const seconds = Float64Array.from({ length: 21 }, (_, i) => i / 10);
const found = (values: Float64Array, time = seconds) => findSpikes(time, values, 1);

// docs/definitions.md, 11a.
describe("a spike", () => {
  test.each([
    ["upwards", with_({ 9: 10.3, 10: 14 }), { first: 10, samples: 1, sign: 1 }],
    ["downwards", with_({ 9: 9.9, 10: 0 }), { first: 10, samples: 1, sign: -1 }],
    ["of two samples", with_({ 9: 9.9, 10: 14, 11: 15 }), { first: 10, samples: 2, sign: 1 }],
    ["of three samples", with_({ 9: 9.9, 10: 5, 11: 6, 12: 5 }), { first: 10, samples: 3, sign: -1 }],
    ["at the first place that has four samples before it", with_({ 3: 9.9, 4: 14 }), { first: 4, samples: 1 }],
    ["at the last place that has four samples after it", with_({ 15: 9.9, 16: 14 }), { first: 16, samples: 1 }],
  ])("%s is found", (_, values, spike) => expect(found(values)).toEqual([expect.objectContaining(spike)]));

  test("jumps by its distance from the nearest of its flanks", () => {
    expect(found(with_({ 8: 10.5, 9: 9.9, 10: 14 }))[0]?.jump).toBeCloseTo(3.5, 12);
  });
});

describe("no spike is", () => {
  test.each([
    [
      "a step",
      with_(
        {},
        level().map((_, i) => (i < 10 ? 0.1 * (i % 2) : 10)),
      ),
    ],
    [
      "a step that overshoots",
      with_(
        { 10: 14 },
        level().map((_, i) => (i < 10 ? 0.1 * (i % 2) : 10)),
      ),
    ],
    ["a blip of four samples", with_({ 3: 9.9, 10: 14, 11: 14, 12: 14, 13: 14 })],
    ["a jump up and one down", with_({ 3: 9.9, 10: 14, 11: 6 })],
    ["a jump no larger than the least", with_({ 3: 9.9, 10: 11 })],
    ["a jump among neighbours that scatter by more than a quarter of it", with_({ 7: 11, 9: 9.9, 10: 14 })],
    ["a sample at the beginning or the end", with_({ 0: 50, 3: 50, 17: 50, 20: 50 })],
  ])("%s", (_, values) => expect(found(values)).toEqual([]));

  test("what lies between samples more than 10 s apart", () => {
    const slow = (step: number) => seconds.map((_, i) => i * step);
    expect(found(with_({ 3: 9.9, 10: 14 }), slow(5))).toHaveLength(1);
    expect(found(with_({ 3: 9.9, 10: 14 }), slow(5.1))).toHaveLength(0);
  });
});

describe("the other channel answers a spike", () => {
  const up = { first: 10, samples: 1, sign: 1, jump: 4 } as const;

  test.each([
    ["when it moves against it", with_({ 10: 9.8 }), true],
    ["when it does so one sample later", with_({ 11: 9.8 }), true],
    ["when it does so one sample earlier", with_({ 9: 9.8 }), true],
    ["not when it moves along with it", with_({ 10: 12 }), false],
    ["not when it does so two samples later", with_({ 12: 9.8 }), false],
    ["not when it moves too little", with_({ 10: 9.95 }), false],
  ])("%s", (_, other, answers) => expect(unanswered(other, up, 0.1)).toBe(!answers));

  test("may have answered when its own noise is as large", () => {
    expect(unanswered(with_({ 7: 10.1, 9: 9.99 }), up, 0.1)).toBe(false);
  });
});
