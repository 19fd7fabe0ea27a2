import { describe, expect, it } from "@jest/globals";
import { createRandom } from "../../../seed/simulator/random.js";
import { fourierOf } from "./fourier.js";
import { type Band, bandsOf, type Pair, PhasePeaks } from "./phase-peaks.js";

const LENGTH = 256;
const REACH = 20;
const fourier = fourierOf(LENGTH);
const bands = bandsOf(LENGTH, LENGTH);
const random = createRandom(11);
const noise = () => Float64Array.from({ length: LENGTH }, () => random.gaussian());
const together = (first: Float64Array, second: Float64Array): Pair => {
  const pair = { re: Float64Array.from(first), im: Float64Array.from(second) };
  fourier.transform(pair);
  return pair;
};
const delayed = (values: Float64Array, by: number) => values.map((_, i) => values.at((i - by) % LENGTH) as number);

function phasesOf(values: Float64Array): number[] {
  return Array.from({ length: LENGTH / 2 }, (_, k) => {
    let [re, im] = [0, 0];
    for (const [n, value] of values.entries()) {
      re += value * Math.cos((2 * Math.PI * k * n) / LENGTH);
      im -= value * Math.sin((2 * Math.PI * k * n) / LENGTH);
    }
    return Math.atan2(im, re);
  });
}

/** Mean over the band of the cosine of the difference of phase at a lag, as its definition has it. */
function coherenceAt(one: readonly number[], other: readonly number[], { from, to }: Band, lag: number): number {
  let sum = 0;
  for (let k = from; k < to; k++) {
    sum += Math.cos((one[k] as number) - (other[k] as number) + (2 * Math.PI * k * lag) / LENGTH);
  }
  return sum / (to - from);
}

describe("two series held against one at once", () => {
  const one = noise();
  const others = [noise(), delayed(one, -7).map((value) => value + 0.5 * random.gaussian())];
  const pair = together(...(others as [Float64Array, Float64Array]));
  const peaks = new PhasePeaks(fourier, bands, LENGTH / 2, REACH).of(fourier.of(one), pair);

  const ownPhases = phasesOf(one);
  const otherPhases = others.map(phasesOf);

  it("have each in every band the lag at which their phases agree best, and their mean cosine", () => {
    expect(bands).toEqual([
      { from: 8, to: 128 },
      { from: 8, to: 32 },
    ]);
    for (const [k, other] of otherPhases.entries()) {
      for (const [i, band] of bands.entries()) {
        const lags = Array.from({ length: 2 * REACH + 1 }, (_, at) => at - REACH);
        const expected = lags.map((lag) => coherenceAt(ownPhases, other, band, lag));
        const highest = Math.max(...expected);
        expect(peaks[k]?.[i]?.coherence).toBeCloseTo(highest, 10);
        expect(peaks[k]?.[i]?.lag).toBe(lags[expected.indexOf(highest)]);
      }
    }
    expect(peaks[1]?.[0]?.lag).toBe(7);
  });

  it("say the same of all frequencies where no narrower band is asked for", () => {
    const alone = new PhasePeaks(fourier, bands, LENGTH / 2, REACH).of(fourier.of(one), pair, 0);
    for (const [k, found] of alone.entries()) {
      expect(found).toHaveLength(1);
      expect(found[0]?.lag).toBe(peaks[k]?.[0]?.lag);
      expect(found[0]?.score).toBeCloseTo(peaks[k]?.[0]?.score as number, 10);
    }
  });

  it("score by the scatter over all lags, beyond reach as well", () => {
    for (const [k, other] of otherPhases.entries()) {
      for (const [i, band] of bands.entries()) {
        const squares = Array.from({ length: LENGTH }, (_, lag) => coherenceAt(ownPhases, other, band, lag) ** 2);
        const scatter = Math.sqrt(squares.reduce((sum, square) => sum + square, 0) / LENGTH);
        const peak = peaks[k]?.[i];
        expect(peak?.score).toBeCloseTo((peak?.coherence as number) / scatter, 10);
      }
    }
  });
});

describe("a score", () => {
  const POINTS = 240;
  const scored = (own: Float64Array, other: Float64Array, length: number): number => {
    const long = fourierOf(length);
    const bands = [bandsOf(length, POINTS)[0] as Band];
    const [first] = new PhasePeaks(long, bands, POINTS, REACH).of(long.of(own), long.of(other));
    return first[0]?.score as number;
  };

  it("does not grow with the zeros behind the values", () => {
    for (let n = 0; n < 5; n++) {
      const long = noise();
      const own = long.slice(REACH / 2, REACH / 2 + POINTS - 20);
      const other = long.slice(0, POINTS - 20).map((value) => value + 0.5 * random.gaussian());
      const lengths = [256, 512, 1024].map((length) => scored(own, other, length));
      expect(Math.max(...lengths) / Math.min(...lengths)).toBeLessThan(1.15);
    }
  });

  it("is 0 where a series shows nothing, and no number that every comparison passes", () => {
    expect(scored(noise().slice(0, POINTS), new Float64Array(POINTS), 512)).toBe(0);
  });
});
