import { describe, expect, test } from "@jest/globals";
import fc from "fast-check";
import { createRandom } from "../../../seed/simulator/random.js";
import { boundedValues } from "./bounded-values.js";
import { sampleOf } from "./sample.js";
import { testerEstimate } from "./tester-estimate.js";

const decided = (value: number, uncertainty = 10) => ({ value, uncertainty, isDecided: true });
const undecided = (value: number, uncertainty = 10) => ({ value, uncertainty, isDecided: false });
const meanOf = (values: readonly number[]) => sampleOf(values).mean;

describe("runs that were withdrawn before anybody decided on them", () => {
  // By hand: a = 1, w = 3, n = 4; shift 375, bound 2 x 1 % x 1000 x sqrt(3 / 4) = 17.3205, factor 17.3205 / 375.
  test("move the mean of their tester to the bound and no further", () => {
    const runs = [decided(1000), undecided(1500), undecided(1500), undecided(1500)];
    const { values, excess } = boundedValues(runs, 0.01);
    expect(excess).toBeCloseTo(357.6795, 4);
    for (const [i, value] of [1000, 1023.094, 1023.094, 1023.094].entries()) expect(values[i]).toBeCloseTo(value, 3);
    const found = testerEstimate(runs, 0.01);
    expect(found.value).toBeCloseTo(1017.3205, 4);
    // The bench's 10, the scatter 11.547 / sqrt 4, and the half-width 357.6795 / sqrt 3.
    expect(found.uncertainty).toBeCloseTo(Math.sqrt(100 + 33.3333 + 357.6795 ** 2 / 3), 3);
    expect(found.undecidedExcess).toBe(excess);
  });

  // By hand: a = 2, w = 1, n = 3; decided mean 1000, shift 10, bound 2 x 1 % x 1000 x sqrt(1 / 6) = 8.165.
  test("keep the proportions of their departures, beside several that were decided", () => {
    const { values, excess } = boundedValues([decided(990), undecided(970), decided(1010)], 0.01);
    expect(excess).toBeCloseTo(10 - 8.16497, 4);
    expect(values).toEqual([990, expect.closeTo(1000 - 30 * 0.816497, 3), 1010]);
  });

  test("make the plain mean of all where they stay within the bound", () => {
    const runs = [decided(1000), undecided(985), undecided(990)];
    expect(boundedValues(runs, 0.01)).toEqual({ values: [1000, 985, 990], excess: 0 });
    expect(testerEstimate(runs, 0.01)).toEqual(testerEstimate(runs.map(({ value }) => decided(value))));
  });

  test("say nothing of the uncertainty of the bench", () => {
    const seen = testerEstimate([decided(1000, 5), undecided(1000, 0.001), undecided(1000, 900)], 0.01);
    expect(seen.uncertainty).toBeCloseTo(5, 12);
  });

  test("are left as they are where nothing was decided, and never make a number that is none", () => {
    expect(boundedValues([undecided(1), undecided(5)], 0.01)).toEqual({ values: [1, 5], excess: 0 });
    for (const centre of [0, -20]) {
      for (const spread of [0, 3]) {
        const found = testerEstimate([decided(centre, 0), undecided(centre + spread, 0)], 0.01);
        expect(Object.values(found).filter((one) => one !== null && !Number.isFinite(one))).toEqual([]);
      }
    }
    // A mean of zero has no s_R: what nobody has decided on does not move it.
    expect(testerEstimate([decided(0, 0), undecided(8, 0)], 0.01)).toMatchObject({ value: 0, undecidedExcess: 4 });
  });
});

// In thousandths: of numbers near the least that a computer has, rounding decides on which side of a bound they lie.
const anyValue = fc.integer({ min: -1e9, max: 1e9 }).map((thousandths) => thousandths / 1000);
const anyRuns = fc
  .tuple(fc.array(anyValue, { minLength: 1, maxLength: 6 }), fc.array(anyValue, { minLength: 1, maxLength: 12 }))
  .map(([some, others]) => [...some.map((one) => decided(one)), ...others.map((one) => undecided(one))]);
const anySd = fc.integer({ min: 1, max: 100 }).map((thousandths) => thousandths / 1000);

/** What rounding leaves of numbers of this size. */
const rounding = (runs: readonly { value: number }[]) =>
  1e-10 * (1 + Math.max(...runs.map(({ value }) => Math.abs(value))));

function boundOf(runs: ReturnType<typeof decided>[], relativeSd: number) {
  const some = runs.filter(({ isDecided }) => isDecided).map(({ value }) => value);
  const [a, n, centre] = [some.length, runs.length, meanOf(some)];
  return { centre, bound: 2 * relativeSd * Math.abs(centre) * Math.sqrt(1 / a - 1 / n) };
}

describe("whatever is invented and withdrawn", () => {
  test("the mean stays within the bound, and is the plain one where that is within it", () => {
    fc.assert(
      fc.property(anyRuns, anySd, (runs, relativeSd) => {
        const { centre, bound } = boundOf(runs, relativeSd);
        const plain = meanOf(runs.map(({ value }) => value));
        const { value, undecidedExcess } = testerEstimate(runs, relativeSd);
        expect(Math.abs(value - centre)).toBeLessThanOrEqual(bound + rounding(runs));
        expect(Math.abs(plain - value)).toBeLessThanOrEqual(undecidedExcess + rounding(runs));
        const shift = Math.abs(plain - centre);
        if (shift < bound - rounding(runs)) expect([value, undecidedExcess]).toEqual([plain, 0]);
        else if (shift > bound + rounding(runs))
          expect(Math.abs(value - centre)).toBeGreaterThanOrEqual(bound - rounding(runs));
      }),
    );
  });

  test("the order of the runs makes no difference, and their mirror image makes the mirrored mean", () => {
    fc.assert(
      fc.property(anyRuns, anySd, (runs, relativeSd) => {
        const found = testerEstimate(runs, relativeSd);
        const turned = testerEstimate(runs.toReversed(), relativeSd);
        const mirrored = testerEstimate(
          runs.map((run) => ({ ...run, value: -run.value })),
          relativeSd,
        );
        for (const other of [turned, { ...mirrored, value: -mirrored.value }]) {
          expect(Math.abs(other.value - found.value)).toBeLessThanOrEqual(rounding(runs));
          expect(Math.abs(other.uncertainty - found.uncertainty)).toBeLessThanOrEqual(rounding(runs));
        }
      }),
    );
  });

  test("the uncertainty is never less than that of the same runs, had a moderator let all of them count within the bound", () => {
    fc.assert(
      fc.property(anyRuns, anySd, (runs, relativeSd) => {
        const { values, excess } = boundedValues(runs, relativeSd);
        const without = testerEstimate(values.map((value) => decided(value)));
        const { uncertainty } = testerEstimate(runs, relativeSd);
        expect(Math.abs(uncertainty ** 2 - without.uncertainty ** 2 - excess ** 2 / 3)).toBeLessThanOrEqual(
          1e-9 * (1 + uncertainty ** 2),
        );
      }),
    );
  });
});

// Simulated: powers of specimens 0.5 % apart with repeats of 0.25 %, and their least s_R, 0.95 % (docs/records.md).
describe("an honest tester who uploads n runs, keeps the best and withdraws the others", () => {
  const [SD, RELATIVE_SD, PACKS] = [0.0056, 0.0095, 4_000];
  const random = createRandom(31);

  test.each([2, 3, 4, 5, 6, 7, 8, 9])("gains nothing on the mean with n = %i", (count) => {
    const packs = Array.from({ length: PACKS }, () => {
      return Array.from({ length: count }, () => 1 + SD * random.gaussian()).sort((a, b) => b - a);
    });
    const gainOf = (values: readonly number[]) => (meanOf(values) - 1) / SD;
    const chosen = packs.map(([best = 0, ...others]) => {
      return testerEstimate([decided(best, 0), ...others.map((one) => undecided(one, 0))], RELATIVE_SD).value;
    });
    const error = 1 / Math.sqrt(count * PACKS);
    expect(Math.abs(gainOf(chosen))).toBeLessThan(4 * error);
    // The best one by itself would gain E_n: 0.56 of two.
    expect(gainOf(packs.map(([best = 0]) => best))).toBeGreaterThan(0.5);
  });
});
