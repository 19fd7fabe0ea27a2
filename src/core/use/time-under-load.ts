import { DEMAND_CURRENT, type Demand } from "./demand.js";

/** The time under load along a use: while a pack rests, nothing brings it nearer to empty. Instants and times are in s. */
export interface TimeUnderLoad {
  /** How long the pack was under load until an instant of the use. */
  until(instant: number): number;
  /** The first instant at which it was under load for so long; past the end of what is written out, as if the load went on. */
  instantOf(loaded: number): number;
}

export const isLoad = ({ kind, value }: Demand, i: number): boolean =>
  kind[i] !== DEMAND_CURRENT || (value[i] as number) > 0;

/** @param ends ends of the demand's stretches, s */
export function timeUnderLoad(demand: Demand, ends: Float64Array): TimeUnderLoad {
  const { seconds } = demand;
  const loaded = new Float64Array(ends.length);
  let sum = 0;
  for (let i = 0; i < ends.length; i++) {
    if (isLoad(demand, i)) sum += seconds[i] as number;
    loaded[i] = sum;
  }
  return { until, instantOf };

  function until(instant: number): number {
    const i = firstAtLeast(ends, instant);
    if (i === ends.length) return sum + Math.max(0, instant - (ends.at(-1) ?? 0));
    return (loaded[i] as number) - (isLoad(demand, i) ? (ends[i] as number) - Math.max(instant, 0) : 0);
  }

  function instantOf(wanted: number): number {
    const i = firstAtLeast(loaded, wanted);
    if (i === loaded.length) return (ends.at(-1) ?? 0) + wanted - sum;
    return (ends[i] as number) - ((loaded[i] as number) - wanted);
  }
}

/** Index of the first of rising values that is at least `least`; their number where there is none. */
function firstAtLeast(values: Float64Array, least: number): number {
  let [low, high] = [0, values.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((values[middle] as number) >= least) high = middle;
    else low = middle + 1;
  }
  return low;
}
