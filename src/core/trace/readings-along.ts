import { edgeValue, indexAtOrAfter } from "./series.js";

/** The value at each of some instants that rise, as `valueAt` gives it one by one, gone through once; s. */
export function valuesAlong(time: Float64Array, values: Float64Array, instants: Float64Array): Float64Array {
  const read = new Float64Array(instants.length);
  let next = instants.length > 0 ? indexAtOrAfter(time, instants[0] as number) : 0;
  for (let i = 0; i < instants.length; i++) {
    const instant = instants[i] as number;
    while (next < time.length && (time[next] as number) < instant) next++;
    read[i] = edgeValue(time, values, next, instant);
  }
  return read;
}

/** The mean over `half` before and after each of some instants that rise, as `mean` gives it one by one, gone through once; s. */
export function meansAlong(
  time: Float64Array,
  values: Float64Array,
  instants: Float64Array,
  half: number,
): Float64Array {
  const read = new Float64Array(instants.length);
  let first = instants.length > 0 ? indexAtOrAfter(time, (instants[0] as number) - half) : 0;
  for (let i = 0; i < instants.length; i++) {
    const from = (instants[i] as number) - half;
    const to = (instants[i] as number) + half;
    while (first < time.length && (time[first] as number) < from) first++;
    let previousTime = from;
    let previousValue = edgeValue(time, values, first, from);
    let sum = 0;
    let next = first;
    for (; next < time.length && (time[next] as number) < to; next++) {
      const t = time[next] as number;
      const v = values[next] as number;
      sum += ((v + previousValue) * (t - previousTime)) / 2;
      previousTime = t;
      previousValue = v;
    }
    const whole = sum + ((edgeValue(time, values, next, to) + previousValue) * (to - previousTime)) / 2;
    read[i] = whole / (to - from);
  }
  return read;
}
