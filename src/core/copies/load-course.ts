import { plusTimes, sumOf } from "../numerics/each-value.js";
import { log } from "../numerics/library.js";
import { indexAtOrAfter } from "../trace/series.js";
import { oncePerTrace } from "./once-per-trace.js";
import { loadedStretch } from "./residual.js";

/**
 * What a load does by itself, sample by sample: ln I - n ln V, where I = c V^n is the law that fits the whole stretch under load best.
 * n is 0 for a constant current, 1 for a resistance, -1 for a constant power, and between for a throttle, so that the course of the
 * pack's voltage, which runs of one pack have in common, is taken out. Samples outside the stretch are as its nearest one.
 */
export const loadCourse = oncePerTrace((trace): Float64Array => {
  const { fromS, toS } = loadedStretch(trace);
  const [first, end] = [indexAtOrAfter(trace.time, fromS), indexAtOrAfter(trace.time, toS)];
  const [volts, amperes] = [logarithms(trace.voltage), logarithms(trace.current)];
  const exponent = slopeOf(volts.subarray(first, end), amperes.subarray(first, end));
  const course = plusTimes(amperes, -exponent, volts);
  course.fill(course[first] as number, 0, first);
  course.fill(course[Math.max(first, end - 1)] as number, end);
  return course;
});

function logarithms(values: Float64Array): Float64Array {
  const result = new Float64Array(values.length);
  for (let i = 0; i < values.length; i++) result[i] = log(Math.max(values[i] as number, 1e-9));
  return result;
}

/** Slope of the straight line of `y` over `x` by least squares; 0 where `x` does not vary. */
function slopeOf(x: Float64Array, y: Float64Array): number {
  const meanX = sumOf(x) / x.length;
  const meanY = sumOf(y) / y.length;
  let products = 0;
  let squares = 0;
  for (let i = 0; i < x.length; i++) {
    const deviation = (x[i] as number) - meanX;
    products += deviation * ((y[i] as number) - meanY);
    squares += deviation * deviation;
  }
  return squares > 0 ? products / squares : 0;
}
