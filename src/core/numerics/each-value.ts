/**
 * Arithmetic on each value of a series. A function that is passed to `map` is compiled anew whenever a collection of garbage finds nobody who holds it;
 * these stay compiled.
 */

import { exp } from "./library.js";

/** `values` times a factor. */
export function times(values: Float64Array, factor: number): Float64Array {
  const result = new Float64Array(values.length);
  for (let i = 0; i < values.length; i++) result[i] = (values[i] as number) * factor;
  return result;
}

/** `values` times those of another series. */
export function timesEach(values: Float64Array, others: Float64Array): Float64Array {
  const result = new Float64Array(values.length);
  for (let i = 0; i < values.length; i++) result[i] = (values[i] as number) * (others[i] as number);
  return result;
}

/** `values` plus the same number. */
export function plus(values: Float64Array, addend: number): Float64Array {
  const result = new Float64Array(values.length);
  for (let i = 0; i < values.length; i++) result[i] = (values[i] as number) + addend;
  return result;
}

/** `values` plus those of another series times a factor. */
export function plusTimes(values: Float64Array, factor: number, others: Float64Array): Float64Array {
  const result = new Float64Array(values.length);
  for (let i = 0; i < values.length; i++) result[i] = (values[i] as number) + factor * (others[i] as number);
  return result;
}

/** `values` within [-most, most]; what lies beyond is put on the nearest bound. */
export function within(values: Float64Array, most: number): Float64Array {
  const result = new Float64Array(values.length);
  for (let i = 0; i < values.length; i++) result[i] = Math.max(-most, Math.min(most, values[i] as number));
  return result;
}

export function sumOf(values: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < values.length; i++) sum += values[i] as number;
  return sum;
}

/** Puts e to the power of each value in its place. Numbers in an array need no object each, as those that a function takes and gives back may. */
export function expEach(values: Float64Array): void {
  for (let i = 0; i < values.length; i++) values[i] = exp(values[i] as number);
}
