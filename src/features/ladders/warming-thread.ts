import { decodeTrace } from "../../core/trace/encode.js";
import { indexAtOrAfter, valueAt } from "../../core/trace/series.js";

/** Points of a warming curve that an estimate is made from. */
const POINTS = 200;

export interface WarmingTask {
  readonly encoding: string;
  readonly data: Uint8Array;
  /** End of the curve, s from onset. */
  readonly untilS: number;
}

/**
 * The temperature of a stored trace from onset to `untilS`, degC, as means over equal stretches of time, each at the middle of
 * its stretch.
 *
 * @throws Error when the trace has no temperature, which no step of a ladder lacks
 */
export function warmingCurve({ encoding, data, untilS }: WarmingTask): { time: number[]; temperature: number[] } {
  const trace = decodeTrace(encoding, data);
  const { temperature } = trace;
  if (!temperature) throw new Error("a step of a ladder has no temperature");
  const width = untilS / POINTS;
  const time = Array.from({ length: POINTS }, (_, i) => (i + 0.5) * width);
  const means = time.map((middle) => {
    const [from, to] = [indexAtOrAfter(trace.time, middle - width / 2), indexAtOrAfter(trace.time, middle + width / 2)];
    if (to <= from) return valueAt(trace.time, temperature, middle);
    return temperature.subarray(from, to).reduce((sum, celsius) => sum + celsius, 0) / (to - from);
  });
  return { time, temperature: means };
}
