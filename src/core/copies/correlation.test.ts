import { expect, it } from "@jest/globals";
import { createRandom } from "../../../seed/simulator/random.js";
import { correlationOf, scoreOf } from "./correlation.js";

/** An autoregressive series of first order: each value keeps `memory` of the one before. */
function series(seed: number, memory: number, length = 600): Float64Array {
  const random = createRandom(seed);
  let value = random.gaussian() / Math.sqrt(1 - memory * memory);
  return Float64Array.from({ length }, () => {
    value = memory * value + random.gaussian();
    return value;
  });
}

it("the correlation of Anscombe's first data set is 0.816, as published", () => {
  // F. J. Anscombe, The American Statistician 27 (1973) 17.
  const x = Float64Array.of(10, 8, 13, 9, 11, 14, 6, 4, 12, 7, 5);
  const y = Float64Array.of(8.04, 6.95, 7.58, 8.81, 8.33, 9.96, 7.24, 4.26, 10.84, 4.82, 5.68);
  expect(correlationOf(x, y)).toBeCloseTo(0.816, 3);
  expect(correlationOf(x, new Float64Array(11).fill(3))).toBe(0);
});

it.each([0, 0.5, 0.9])("scores of independent series that remember %d of the past scatter by about 1", (memory) => {
  const scores = Array.from({ length: 200 }, (_, i) => {
    const [one, other] = [series(2 * i + 1, memory), series(2 * i + 2, memory)];
    return scoreOf(one, other, correlationOf(one, other));
  });
  const deviation = Math.sqrt(scores.reduce((sum, score) => sum + score * score, 0) / scores.length);
  expect(deviation).toBeGreaterThan(0.8);
  expect(deviation).toBeLessThan(1.2);
});

it("the same hum in independent series scores low, however well it correlates", () => {
  const hum = (seed: number) => series(seed, 0).map((value, i) => Math.sin(i / 3) + 0.05 * value);
  const [one, other] = [hum(1), hum(2)];
  const correlation = correlationOf(one, other);
  expect(correlation).toBeGreaterThan(0.95);
  expect(scoreOf(one, other, correlation)).toBeLessThan(4);
});
