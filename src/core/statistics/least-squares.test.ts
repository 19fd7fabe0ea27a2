import { describe, expect, test } from "@jest/globals";
import { createRandom } from "../../../seed/simulator/random.js";
import { fitLeastSquares, type Model } from "./least-squares.js";
import { fitLine } from "./line.js";

// The certified results of NIST's reference data sets are held in test/cross-checks/checks/nist-nonlinear.ts.

const line: Model<number> = ([intercept = 0, slope = 0], x) => intercept + slope * x;
const relaxation: Model<number> = ([end = 0, amplitude = 0, seconds = 0], t) =>
  end + amplitude * Math.exp(-t / seconds);
const times = Array.from({ length: 60 }, (_, i) => i);

describe("a least-squares fit", () => {
  test("returns to parameters that made the data, from a start of the right sign", () => {
    const truth = [48.2, 0.7, 14];
    const found = fitLeastSquares(
      relaxation,
      [1, 1, 3],
      times,
      times.map((t) => relaxation(truth, t)),
    );
    truth.forEach((value, j) => {
      expect(found?.parameters[j]).toBeCloseTo(value, 9);
    });
    expect(found?.residualSd).toBeLessThan(1e-11);
    expect(found?.degreesOfFreedom).toBe(57);
  });

  test("of a straight line is the straight line's closed form, with its variances", () => {
    const random = createRandom(5);
    const y = times.map((x) => 3 + 0.25 * x + random.gaussian());
    const found = fitLeastSquares(line, [1, 1], times, y);
    const closed = fitLine(Float64Array.from(times), Float64Array.from(y));
    expect(found?.parameters[0]).toBeCloseTo(closed?.intercept as number, 9);
    expect(found?.parameters[1]).toBeCloseTo(closed?.slope as number, 10);
    const squaresOfX = times.reduce((sum, x) => sum + (x - 29.5) ** 2, 0);
    const variance = (found?.residualSd as number) ** 2;
    expect(found?.covariance[1]?.[1]).toBeCloseTo(variance / squaresOfX, 10);
    expect(found?.covariance[0]?.[1]).toBeCloseTo((-29.5 * variance) / squaresOfX, 9);
    expect(found?.covariance[0]?.[1]).toBe(found?.covariance[1]?.[0]);
  });

  test("covers parameters that made noisy data by its standard deviations, in 95 of 100 draws or so", () => {
    const truth = [48.2, 0.7, 14];
    const random = createRandom(17);
    let covered = 0;
    for (let draw = 0; draw < 200; draw++) {
      const y = times.map((t) => relaxation(truth, t) + 0.01 * random.gaussian());
      const found = fitLeastSquares(relaxation, [48, 1, 10], times, y);
      const sd = Math.sqrt(found?.covariance[2]?.[2] as number);
      if (Math.abs((found?.parameters[2] as number) - 14) <= 2 * sd) covered++;
    }
    expect(covered / 200).toBeGreaterThan(0.9);
    expect(covered / 200).toBeLessThan(0.99);
  });

  test("counts a point of weight 3 as three points", () => {
    const y = [1, 2.2, 2.9, 4.3, 4.8];
    const weighted = fitLeastSquares(line, [1, 1], [0, 1, 2, 3, 4], y, [1, 3, 1, 1, 1]);
    const thrice = fitLeastSquares(line, [1, 1], [0, 1, 1, 1, 2, 3, 4], [1, 2.2, 2.2, 2.2, 2.9, 4.3, 4.8]);
    expect(weighted?.parameters[0]).toBeCloseTo(thrice?.parameters[0] as number, 9);
    expect(weighted?.parameters[1]).toBeCloseTo(thrice?.parameters[1] as number, 9);
  });

  test("takes points that are records", () => {
    const heat: Model<{ amperes: number; kelvin: number }> = ([ohm = 0, loss = 0], { amperes, kelvin }) =>
      ohm * amperes ** 2 - loss * kelvin;
    const points = times.map((i) => ({ amperes: 20 + i, kelvin: (7 * i) % 40 }));
    const found = fitLeastSquares(
      heat,
      [0.01, 1],
      points,
      points.map((point) => heat([0.03, 2], point)),
    );
    expect(found?.parameters[0]).toBeCloseTo(0.03, 9);
    expect(found?.parameters[1]).toBeCloseTo(2, 7);
  });

  test("gives the same bits each time", () => {
    const random = createRandom(3);
    const y = times.map((t) => relaxation([48, 1, 9], t) + 0.02 * random.gaussian());
    const text = () => JSON.stringify(fitLeastSquares(relaxation, [47, 2, 20], times, y));
    expect(text()).toBe(text());
  });

  test("is none where the points do not determine every parameter", () => {
    const sum: Model<number> = ([a = 0, b = 0], x) => (a + b) * x;
    expect(
      fitLeastSquares(
        sum,
        [1, 2],
        times,
        times.map((x) => 3 * x + (x % 2)),
      ),
    ).toBeNull();
    const unused: Model<number> = ([a = 0], x) => a * x;
    expect(
      fitLeastSquares(
        unused,
        [1, 2],
        times,
        times.map((x) => 3 * x + (x % 2)),
      ),
    ).toBeNull();
  });

  test("is none without more points than parameters, and where the model gives no number at the start", () => {
    expect(fitLeastSquares(line, [1, 1], [0, 1], [3, 4])).toBeNull();
    const root: Model<number> = ([a = 0], x) => Math.sqrt(a) * x;
    expect(fitLeastSquares(root, [-1], times, times)).toBeNull();
  });

  test("refuses x, y and weights of unequal length", () => {
    expect(() => fitLeastSquares(line, [1, 1], [0, 1, 2], [3, 4])).toThrow(RangeError);
    expect(() => fitLeastSquares(line, [1, 1], [0, 1, 2], [3, 4, 5], [1])).toThrow(RangeError);
  });
});
