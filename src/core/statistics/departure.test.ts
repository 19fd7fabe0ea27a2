import { describe, expect, test } from "@jest/globals";
import { createRandom } from "../../../seed/simulator/random.js";
import { departureFrom, middleOf } from "./departure.js";
import type { TesterResult } from "./standing.js";

const result = (testerId: string, value: number, uncertainty = 1): TesterResult => ({ testerId, value, uncertainty });
const THREE = [result("a", 100), result("b", 102), result("c", 101)];

describe("one result set against those of others", () => {
  test("takes their median and spread, and is near when it is among them", () => {
    const departure = departureFrom(THREE, { value: 101.5, uncertainty: 1 });
    expect(departure).toMatchObject({ median: 101, runs: 3, testers: 3, far: false });
    expect(departure?.spread).toBeCloseTo(1.4826, 12);
    const deviation = Math.hypot(1.4826 * Math.sqrt(1 + Math.PI / 6), 1);
    expect(departure?.z).toBeCloseTo(0.5 / deviation, 12);
  });

  test("is far on either side", () => {
    expect(departureFrom(THREE, { value: 110, uncertainty: 1 })).toMatchObject({ far: true });
    expect(departureFrom(THREE, { value: 92, uncertainty: 1 })?.z).toBeLessThan(-3);
  });

  test("is no farther than its own uncertainty allows", () => {
    expect(departureFrom(THREE, { value: 110, uncertainty: 4 })).toMatchObject({ far: false });
  });

  test("allows at least the others' own uncertainty when they happen to agree", () => {
    const agreeing = [result("a", 100, 2), result("b", 100, 2), result("c", 100, 2)];
    expect(departureFrom(agreeing, { value: 104, uncertainty: 1 })).toMatchObject({ spread: 0, far: false });
  });

  test("says nothing of fewer than three results, or of one tester alone", () => {
    expect(departureFrom(THREE.slice(1), { value: 90, uncertainty: 1 })).toBeNull();
    const alone = [100, 101, 102, 103].map((value) => result("a", value));
    expect(departureFrom(alone, { value: 90, uncertainty: 1 })).toBeNull();
  });

  test("counts a tester's repeats as one", () => {
    const repeats = [...Array(20)].map(() => result("a", 90));
    expect(departureFrom([...repeats, ...THREE.slice(1)], { value: 101, uncertainty: 1 })).toMatchObject({
      median: 101,
      testers: 3,
      runs: 22,
    });
  });

  test("is hardly moved by one dishonest result among five", () => {
    const honest = [100, 101, 102, 99].map((value, i) => result(`tester ${i}`, value));
    const departure = departureFrom([...honest, result("x", 400)], { value: 150, uncertainty: 1 });
    expect(departure).toMatchObject({ median: 101, far: true });
  });
});

test("the middle of results is known from the first on, of none it is not", () => {
  expect(middleOf([])).toBeNull();
  expect(middleOf([result("a", 7)])).toEqual({ median: 7, spread: 0, runs: 1, testers: 1 });
  expect(middleOf(THREE)?.spread).toBeCloseTo(1.4826, 12);
});

// Derived: a normal deviate is beyond 3 standard deviations once in 370; few others, whose spread is known poorly, make it more often.
test.each([
  [3, 0.08],
  [5, 0.05],
  [12, 0.02],
])("of honest results beside %d others, at most a share of %d is called far", (testers, share) => {
  const random = createRandom(1000 + testers);
  const draw = () => ({ value: 500 + 5 * random.gaussian() + 2 * random.gaussian(), uncertainty: 2 });
  const runs = 5000;
  let far = 0;
  for (let i = 0; i < runs; i++) {
    const others = Array.from({ length: testers }, (_, k) => ({ testerId: `tester ${k}`, ...draw() }));
    if (departureFrom(others, draw())?.far) far++;
  }
  expect(far / runs).toBeLessThanOrEqual(share);
});
