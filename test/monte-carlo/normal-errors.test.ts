import { beforeAll, describe, expect, test } from "@jest/globals";
import type { Coverage } from "./coverage.js";
import { drawMany } from "./draw-many.js";
import { tooBold, tooCareful } from "./honest-band.js";

const DRAWS = 1000;
const FIRST_SEED = 700_000;

// Propagation of distributions in the spirit of JCGM 101 (from memory): the truth is the simulator's, without noise.
describe("over 1,000 runs on benches whose errors are normal, the share of true values within 2 u", () => {
  let coverage: Coverage[] = [];
  beforeAll(async () => {
    coverage = await drawMany(DRAWS, FIRST_SEED, "normal");
  });

  test("is told of every figure under either load, of nearly every run", () => {
    expect(coverage.length).toBeGreaterThan(50);
    const rare = coverage.filter(({ draws }) => draws < 0.9 * DRAWS).map(({ figure }) => figure);
    expect(rare).toEqual(["time-to-limit (own)"]);
  });
  test("is at least 93 % for every figure", () => expect(tooBold(coverage)).toEqual([]));
  test("is at most 97 % for every figure that is not settled by definition", () =>
    expect(tooCareful(coverage)).toEqual([]));
});
