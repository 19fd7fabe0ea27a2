import { expect, it } from "@jest/globals";
import { createRandom } from "../../../seed/simulator/random.js";
import { fourierOf } from "./fourier.js";

it.each([1, 2, 4, 8, 32, 64])("is the sum that defines the discrete Fourier transform of %s values", (length) => {
  const random = createRandom(5);
  const values = Float64Array.from({ length }, () => random.gaussian());
  const { re, im } = fourierOf(length).of(values);
  for (let k = 0; k < length; k++) {
    const sum = (part: (angle: number) => number) =>
      values.reduce((total, value, n) => total + value * part((-2 * Math.PI * k * n) / length), 0);
    expect(re[k]).toBeCloseTo(sum(Math.cos), 10);
    expect(im[k]).toBeCloseTo(sum(Math.sin), 10);
  }
});

it("of a cosine of three turns is half its length at 3 and at N - 3, and nothing elsewhere", () => {
  const { re, im } = fourierOf(64).of(Float64Array.from({ length: 64 }, (_, n) => Math.cos((6 * Math.PI * n) / 64)));
  expect(Array.from(re, (one) => Math.round(one) + 0)).toEqual(
    Array.from({ length: 64 }, (_, k) => (k === 3 || k === 61 ? 32 : 0)),
  );
  expect(Math.max(...im.map(Math.abs))).toBeLessThan(1e-9);
});

it.each([
  [32, 0],
  [64, 3],
  [256, 20],
  [2048, 55],
])("of %s values is the same to the last bit within a reach of %s places as without it", (length, reach) => {
  const random = createRandom(length);
  const fourier = fourierOf(length);
  const whole = fourier.zeros();
  for (const values of [whole.re, whole.im]) values.set(values.map(() => random.gaussian()));
  const inPlaces = (values: Float64Array) => values.map((_, i) => values[fourier.places[i] as number] as number);
  const part = { re: inPlaces(whole.re), im: inPlaces(whole.im) };
  fourier.transform(whole);
  fourier.transformReversed(part, reach);
  const within = (values: Float64Array) => [...values.subarray(0, reach + 1), ...values.subarray(length - reach)];
  expect(within(part.re)).toEqual(within(whole.re));
  expect(within(part.im)).toEqual(within(whole.im));
});
