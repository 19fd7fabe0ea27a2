import { beforeAll, describe, expect, test } from "@jest/globals";
import type { Coverage } from "./coverage.js";
import { drawMany } from "./draw-many.js";
import { tooBold } from "./honest-band.js";

const DRAWS = 1000;
const FIRST_SEED = 800_000;
/** Half or more of their variance is that of an instrument. */
const BY_INSTRUMENTS = /^(power|current|voltage)-(10s|30s)|^(capacity|energy|specific|resistance-10s.*own)/;

// Propagation of distributions in the spirit of JCGM 101 (from memory): the truth is the simulator's, without noise.
describe("over 1,000 runs on benches whose errors are rectangular, the share of true values within 2 u", () => {
  let coverage: Coverage[] = [];
  beforeAll(async () => {
    coverage = await drawMany(DRAWS, FIRST_SEED, "rectangular");
  });

  test("is at least 93 % for every figure", () => expect(tooBold(coverage)).toEqual([]));
  test("is at least 95 % where the instruments decide: 2 u lies beyond what a rectangular error reaches", () => {
    const byInstruments = coverage.filter(({ figure }) => BY_INSTRUMENTS.test(figure));
    expect(byInstruments.length).toBeGreaterThan(15);
    expect(tooBold(byInstruments, 0.95)).toEqual([]);
  });
});
