import type { BenchLog, BenchModel } from "../simulator/bench.js";

/** What a logger knows beside the samples. */
interface LogContext {
  readonly startedAt: Date;
  /** A line for people that some layouts carry. */
  readonly title: string;
  readonly resolution: BenchModel["resolution"];
}

/** One shape of log file. */
export interface Layout {
  readonly extension: string;
  readonly mediaType: string;
  readonly write: (log: BenchLog, context: LogContext) => Uint8Array;
}

/** Decimals that a step of the digits needs: 0.01 needs 2, 0.5 needs 1, 10 needs none. */
function decimalsOf(step: number): number {
  return Math.max(0, Math.ceil(-Math.log10(step) - 1e-9));
}

/** One row for each sample. */
export function rowsOf(log: BenchLog, row: (index: number, seconds: number) => readonly string[]): string[][] {
  return log.timeSeconds.map((seconds, index) => [...row(index, seconds)]);
}

/** The value of a channel at a sample, written to the digits of its step in a unit `perUnit` times smaller. */
export function digits(channel: readonly number[], index: number, step: number, perUnit = 1): string {
  return ((channel[index] as number) * perUnit).toFixed(decimalsOf(step * perUnit));
}

export function utf8(text: string): Uint8Array {
  return new TextEncoder().encode(text);
}
