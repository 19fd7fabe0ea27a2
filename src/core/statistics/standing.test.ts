import { describe, expect, test } from "@jest/globals";
import fc from "fast-check";
import { createRandom } from "../../../seed/simulator/random.js";
import { coverageFactor } from "../uncertainty/coverage-factor.js";
import { packConsensus, packResult, type TesterResult } from "./standing.js";

const random = createRandom(20);

/** One to four runs of a tester who is off by what the own bench and the spread of testers and specimens allow. */
function honest(testerId: string, spread: number): TesterResult[] {
  const share = Math.exp(random.between(Math.log(0.003), Math.log(0.04)));
  const own = 1000 * (1 + share * random.gaussian() + spread * random.gaussian());
  return Array.from({ length: 1 + Math.floor(4 * random.uniform()) }, () => {
    const value = own * (1 + 0.005 * random.gaussian());
    return { testerId, value, uncertainty: share * value };
  });
}

const scaled = (runs: readonly TesterResult[], factor: number): TesterResult[] =>
  runs.map((run) => ({ ...run, value: factor * run.value, uncertainty: factor * run.uncertainty }));

/** U = k u, the interval that a standing states. */
const stated = (results: readonly TesterResult[]) => {
  const { value, uncertainty, degreesOfFreedom, established } = packResult(results);
  return { value, established, expanded: coverageFactor(degreesOfFreedom) * uncertainty };
};

// Simulated: benches known to 0.3 to 4 %, testers and specimens 0 to 3 % apart, repeats 0.5 %.
describe("one tester who reads 30 % too much, among three to six of an established standing", () => {
  const packs = [3, 4, 5, 6].flatMap((count) =>
    Array.from({ length: 500 }, () => {
      const spread = random.between(0, 0.03);
      return Array.from({ length: count }, (_, i) => honest(`tester ${i}`, spread));
    }),
  );

  test("moves it by no more than the interval that it then states", () => {
    for (const testers of packs) {
      const before = stated(testers.flat());
      const after = stated([...testers.slice(0, -1).flat(), ...scaled(testers.at(-1) as TesterResult[], 1.3)]);
      expect(after.established).toBe(true);
      expect(Math.abs(after.value - before.value)).toBeLessThanOrEqual(after.expanded);
    }
  });

  test("and joining them later, likewise", () => {
    for (const testers of packs) {
      const before = stated(testers.flat());
      const after = stated([...testers.flat(), ...scaled(honest("newcomer", 0), 1.3)]);
      expect(Math.abs(after.value - before.value)).toBeLessThanOrEqual(after.expanded);
    }
  });
});

describe("repeats by one tester", () => {
  const others: TesterResult[] = [
    { testerId: "b", value: 1010, uncertainty: 8 },
    { testerId: "c", value: 990, uncertainty: 8 },
  ];

  test("do not narrow the interval as independent testers of the same results do", () => {
    const draws = fc.record({
      value: fc.integer({ min: 990, max: 1010 }),
      times: fc.integer({ min: 2, max: 30 }),
      uncertainty: fc.integer({ min: 5, max: 40 }),
    });
    fc.assert(
      fc.property(draws, ({ value, times, uncertainty }) => {
        const repeated = Array.from({ length: times }, () => ({ testerId: "a", value, uncertainty }));
        const independent = repeated.map((run, i) => ({ ...run, testerId: `a${i}` }));
        expect(packResult([...others, ...repeated]).uncertainty).toBeGreaterThan(
          packResult([...others, ...independent]).uncertainty,
        );
      }),
      { numRuns: 2000 },
    );
  });

  test("of one and the same result leave it as it was with one", () => {
    const once: TesterResult = { testerId: "a", value: 1003, uncertainty: 9 };
    const { runs: _, ...single } = packResult([...others, once]);
    const { runs, ...repeated } = packResult([...others, ...Array.from({ length: 40 }, () => once)]);
    expect(repeated).toEqual(single);
    expect(runs).toBe(42);
  });
});

describe("an uncertainty that testers have in common", () => {
  const ladder = (testerId: string, value: number, common: number): TesterResult => {
    return { testerId, value, uncertainty: Math.hypot(common, 0.4), common };
  };

  test("is not averaged away, however many they are", () => {
    const testers = Array.from({ length: 9 }, (_, i) => ladder(`tester ${i}`, 125 + 0.05 * i, 18));
    expect(packResult(testers).uncertainty).toBe(18);
  });

  test("is that of the finest ladder", () => {
    const { uncertainty } = packResult([ladder("a", 125, 18), ladder("b", 125, 18), ladder("c", 125.2, 12)]);
    expect(uncertainty).toBe(12);
  });

  test("does not lessen what their disagreement leaves open", () => {
    const { uncertainty } = packResult([ladder("a", 100, 5), ladder("b", 140, 5), ladder("c", 180, 5)]);
    expect(uncertainty).toBeGreaterThan(20);
  });
});

describe("what testers share of a translated figure", () => {
  const shared = (own: number, kinetics: number, resistance = 0, form = 0) => ({ own, kinetics, resistance, form });
  const result = (testerId: string, value: number, parts: ReturnType<typeof shared>): TesterResult => {
    const { own, kinetics, resistance, form } = parts;
    return { testerId, value, uncertainty: Math.hypot(own, kinetics, resistance, form), shared: parts };
  };
  const testers = (count: number, kinetics: (i: number) => number) =>
    Array.from({ length: count }, (_, i) => result(`tester ${i}`, 1000, shared(3, kinetics(i))));

  // JCGM 100:2008, 5.2.2, formula (16): fully correlated inputs add linearly, with their signs (clause from memory).
  test("is added once, with its sign, by hand", () => {
    const two = [result("a", 1000, shared(3, 4, 1, 2)), result("b", 1000, shared(3, -2, -1, 2))];
    const { uncertainty, sharedUncertainty } = packResult(two);
    expect(sharedUncertainty).toBeCloseTo(Math.hypot((4 - 2) / 2, 0, 2), 12);
    expect(uncertainty).toBeCloseTo(Math.hypot(3 / Math.sqrt(2), 1, 0, 2), 12);
  });

  test("is never averaged away by testers on one side of a load, and cancels between both sides", () => {
    expect(packResult(testers(100, () => 5)).uncertainty).toBeGreaterThan(5);
    const both = packResult(testers(100, (i) => (i % 2 === 0 ? 5 : -5)));
    expect(both.uncertainty).toBeCloseTo(3 / 10, 9);
  });

  test("leaves a tester's weight to what is the tester's own", () => {
    const value = packResult([result("a", 1000, shared(3, 50)), result("b", 1010, shared(3, 0))]).value;
    expect(value).toBeCloseTo(1005, 9);
  });

  test("makes no difference where nothing is shared", () => {
    const plain = [1000, 1004, 1009].map((value, i): TesterResult => ({ testerId: `${i}`, value, uncertainty: 3 }));
    const none = plain.map((one): TesterResult => ({ ...one, shared: shared(3, 0) }));
    expect(packResult(none)).toEqual(packResult(plain));
    expect(packResult(plain.map((one) => ({ ...one, shared: null })))).toEqual(packResult(plain));
  });

  test("is known as well as stated, so that few testers' degrees of freedom grow by it", () => {
    const scattered = [980, 1000, 1021].map((value, i) => result(`${i}`, value, shared(0.1, 40)));
    const alone = packResult(scattered.map((one) => ({ ...one, uncertainty: 0.1, shared: null })));
    expect(packResult(scattered).degreesOfFreedom).toBeGreaterThan(10 * (alone.degreesOfFreedom ?? Number.NaN));
  });
});

test("what stands behind a result names each tester's share, the cross-check and the agreement", () => {
  const found = packConsensus([
    { testerId: "a", value: 1000, uncertainty: 8 },
    { testerId: "b", value: 1030, uncertainty: 5 },
    { testerId: "a", value: 1004, uncertainty: 8 },
    { testerId: "c", value: 990, uncertainty: 6 },
  ]);
  expect(found.result).toMatchObject({ testers: 3, runs: 4, established: true, value: found.mandelPaule.value });
  expect(found.dersimonianLaird.betweenVariance).toBeGreaterThan(0);
  expect(found.agreement.testers.map(({ testerId, runs, mean }) => [testerId, runs, mean])).toEqual([
    ["a", 2, 1002],
    ["b", 1, 1030],
    ["c", 1, 990],
  ]);
  expect(found.estimates.map(({ value }) => value)).toEqual([1002, 1030, 990]);
});
