import type { Trace } from "../model.js";
import { indexAtOrAfter, mean } from "../trace/series.js";
import type { Read } from "./reads.js";

/** Width of the window before the second pulse, s, and how long before that pulse it ends. */
const FIRST_WINDOW_S = 0.5;
const FIRST_MARGIN_S = 0.1;
/** Width of the window at the end of the second pulse, s. */
const SECOND_WINDOW_S = 0.1;
/** How long the current stays up when the second pulse has begun, s. */
const HELD_S = 0.3;
/** Share of the second current below which its pulse is over. */
const HELD_SHARE = 0.9;

/** What a two-pulse load is meant to draw, A, and for how long, s. */
export interface PulseLevels {
  readonly firstA: number;
  readonly secondA: number;
  readonly secondSeconds: number;
}

export type PulseReadKey =
  | `${"first" | "second"}-pulse-${"voltage" | "current"}`
  | "first-pulse-length"
  | "second-pulse-length";

/**
 * The ends of both pulses of a two-pulse load: voltage and current over the last 0.5 s before the second pulse, and over
 * the last 0.1 s of its stated length. The second pulse begins where the current first crosses the middle of both levels and
 * stays above it (docs/definitions.md, 23).
 *
 * @param endS end of the load phase, s from onset
 * @param shiftS added to the instant at which the second pulse begins
 * @returns nothing when there is no second pulse
 */
export function pulseReads(
  trace: Trace,
  { firstA, secondA, secondSeconds }: PulseLevels,
  endS: number,
  shiftS: number,
): Map<PulseReadKey, Read> {
  const reads = new Map<PulseReadKey, Read>();
  const found = secondPulse(trace, (firstA + secondA) / 2, endS);
  if (!found) return reads;
  const beginsS = found.beginsS + shiftS;
  const read = (pulse: "first" | "second", toS: number, width: number) => {
    for (const channel of ["voltage", "current"] as const) {
      const value = mean(trace.time, trace[channel], toS - width, toS);
      reads.set(`${pulse}-pulse-${channel}`, { value, channel, meanOverS: width });
    }
  };
  reads.set("first-pulse-length", { value: beginsS, channel: "time" });
  if (beginsS >= FIRST_WINDOW_S + 2 * FIRST_MARGIN_S) read("first", beginsS - FIRST_MARGIN_S, FIRST_WINDOW_S);
  const lengthS = heldUntil(trace, found.index, secondA * HELD_SHARE, endS) - beginsS;
  reads.set("second-pulse-length", { value: lengthS, channel: "time" });
  if (lengthS >= secondSeconds * (1 - SAME_LENGTH)) read("second", beginsS + secondSeconds, SECOND_WINDOW_S);
  return reads;
}

/** A pulse shorter by this share is as long as it should be: a logger's clock is no better. */
const SAME_LENGTH = 0.02;

function secondPulse({ time, current }: Trace, level: number, endS: number): { beginsS: number; index: number } | null {
  for (let i = Math.max(1, indexAtOrAfter(time, 0)); i < time.length && (time[i] as number) <= endS; i++) {
    const [before, after] = [current[i - 1] as number, current[i] as number];
    if (before >= level || after < level) continue;
    const held = indexAtOrAfter(time, (time[i] as number) + HELD_S);
    if (!current.subarray(i, held).every((amps) => amps >= level)) continue;
    const [t0, t1] = [time[i - 1] as number, time[i] as number];
    return { beginsS: t0 + ((t1 - t0) * (level - before)) / (after - before), index: i };
  }
  return null;
}

/** Until when the current stays at or above the level, from the first sample on that reaches it. */
function heldUntil({ time, current }: Trace, from: number, level: number, endS: number): number {
  let i = from;
  while (i < time.length && (current[i] as number) < level) i++;
  while (i < time.length && (current[i] as number) >= level && (time[i] as number) < endS) i++;
  return Math.min(time[Math.min(i, time.length - 1)] as number, endS);
}
