import type { SummedCells } from "../trace/cells/summed-cells.js";
import { type SampleNoise, sampleNoise } from "./sample-noise.js";

/**
 * Noise and digits of a voltage that is the sum of cell voltages, each read with its own digits: u^2 of the sum of n errors is the sum of all their
 * covariances (JCGM 100 5.2.2; from memory). The rounding errors of two cells whose readings lie d apart on the mean are correlated by 1 - 6 f (1 - f), f being the
 * part of d that is no whole step: cells in step err alike, and n of them by n steps / sqrt 12 (derived for readings that go evenly over the
 * steps). What speaks for a smaller error of the sum is not counted. Where the cells are not known any more, they are taken for independent.
 *
 * @param sum noise of the sum; its least change is one cell's step
 * @param from first of the samples, `to` exclusive
 */
export function summedNoise(sum: SampleNoise, { count, cells }: SummedCells, from: number, to: number): SampleNoise {
  const step = Number.POSITIVE_INFINITY;
  if (cells.length === 0) {
    const isAveraged = sum.deviation / Math.sqrt(count) > sum.step / 2 || !Number.isFinite(sum.step);
    return { deviation: sum.deviation, resolution: isAveraged ? 0 : Math.sqrt(count / 12) * sum.step, step };
  }
  const read = cells.map((cell) => ({ ...sampleNoise(cell, from, to), mean: meanOf(cell, from, to) }));
  let variance = 0;
  for (const one of read) {
    for (const other of read) {
      if (one.resolution === 0 || other.resolution === 0) continue;
      const steps = Math.abs(one.mean - other.mean) / Math.max(one.step, other.step);
      const part = steps - Math.floor(steps);
      variance += Math.max(0, 1 - 6 * part * (1 - part)) * one.resolution * other.resolution;
    }
  }
  return { deviation: sum.deviation, resolution: Math.sqrt(variance), step };
}

function meanOf(values: Float64Array, from: number, to: number): number {
  let sum = 0;
  for (let i = from; i < to; i++) sum += values[i] as number;
  return to > from ? sum / (to - from) : 0;
}
