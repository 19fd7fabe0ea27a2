import { describe, expect, test } from "@jest/globals";
import { calibrationOf } from "./calibration.js";
import { twoWayFit } from "./two-way.js";

const observed = (testerId: string, packId: string, value: number) => ({ testerId, packId, logValue: Math.log(value) });

describe("the two-way model", () => {
  test("finds packs and testers again where both are exact, also with cells missing", () => {
    const [packs, testers] = [
      [1, 2, 3, 4],
      [-0.02, 0, 0.005, 0.015],
    ];
    const cells = packs.flatMap((pack, p) =>
      testers.flatMap((tester, t) =>
        (p + t) % 3 === 0 ? [] : [{ packId: `p${p}`, testerId: `t${t}`, logValue: pack + tester }],
      ),
    );
    const fit = twoWayFit(cells);
    testers.forEach((effect, t) => {
      expect(fit.testers.get(`t${t}`)).toBeCloseTo(effect, 9);
    });
    expect(fit.residualSd).toBeCloseTo(0, 9);
  });

  // Least squares of a full table by hand: rows' and columns' means less the whole mean; residual sum of squares 4 with (2-1)(2-1) = 1 degree of freedom.
  test("of a full table has the means of rows and columns", () => {
    const fit = twoWayFit(
      [
        ["a", "x", 1],
        ["a", "y", 5],
        ["b", "x", 3],
        ["b", "y", 3],
      ].map(([packId, testerId, logValue]) => ({
        packId: packId as string,
        testerId: testerId as string,
        logValue: logValue as number,
      })),
    );
    expect([fit.testers.get("x"), fit.testers.get("y")]).toEqual([expect.closeTo(-1, 9), expect.closeTo(1, 9)]);
    expect([fit.packs.get("a"), fit.packs.get("b")]).toEqual([expect.closeTo(3, 9), expect.closeTo(3, 9)]);
    expect(fit.residualSd).toBeCloseTo(2, 9);
  });
});

describe("a tester's own calibration", () => {
  const packs = [1000, 1200, 900, 1500, 1100, 1300];
  const results = packs.flatMap((value, p) => [
    observed("me", `p${p}`, value * 1.014),
    observed("x", `p${p}`, value),
    observed("y", `p${p}`, value),
  ]);

  test("is the bias against the others, with what packs, others and s_R leave open", () => {
    const found = calibrationOf("power", "me", results, 0.0095);
    expect(found).toMatchObject({ packs: 6, others: 2, biasPercent: expect.closeTo(1.4, 6) });
    // By hand: 2 x 0.95 % x sqrt((1 + 1/2) / 6).
    expect(found?.expandedUncertaintyPercent).toBeCloseTo(2 * 0.95 * Math.sqrt(1.5 / 6), 6);
  });

  test("is not known where nobody else has measured the packs", () => {
    expect(calibrationOf("power", "me", [observed("me", "p", 1), observed("x", "q", 1)], 0.0095)).toBeNull();
  });
});
