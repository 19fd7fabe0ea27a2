import type { Trace } from "../model.js";
import { median } from "../statistics/median.js";
import { indexAtOrAfter, mean } from "../trace/series.js";
import { lastSaggingIndex } from "../trace/stop.js";
import type { PulseReadingKey, Reading } from "./reading.js";

/** Width of the window before the second pulse, s, and how long before that pulse it ends. */
const FIRST_WINDOW_S = 0.5;
const FIRST_MARGIN_S = 0.1;
/** Width of the window at the end of the second pulse, s. */
const SECOND_WINDOW_S = 0.1;
/** How long the current stays up when the second pulse has begun, s. */
const HELD_S = 0.3;
/** The second current is the median over this long, s, and its pulse is over below this share of it. */
const LEVEL_S = 0.5;
const HELD_SHARE = 0.9;
/** A pulse shorter by this share is as long as it should be: a logger's clock is no better. */
const SAME_LENGTH = 0.02;

/** What a two-pulse load is meant to draw, A, and for how long, s. */
export interface PulseLevels {
  readonly firstA: number;
  readonly secondA: number;
  readonly secondSeconds: number;
}

/**
 * The ends of both pulses of a two-pulse load: voltage and current over 0.5 s just before the second pulse, and over the
 * last 0.1 s of its stated length; how long both last, and how fast the second one rises (docs/definitions.md, 23 to 25).
 *
 * @param endS end of the load phase, s from onset
 * @param shiftS added to the instant at which the second pulse begins
 * @returns nothing when there is no second pulse
 */
export function pulseReadings(
  trace: Trace,
  { firstA, secondA, secondSeconds }: PulseLevels,
  endS: number,
  shiftS: number,
): Map<PulseReadingKey, Reading> {
  const reads = new Map<PulseReadingKey, Reading>();
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
  const levelA = levelFrom(trace, found.index);
  const last = lastHeld(trace, found.index, levelA * HELD_SHARE);
  const lengthS = endOfPulse(trace, last, levelA / 2) - beginsS;
  reads.set("second-pulse-length", { value: lengthS, channel: "time" });
  const [lastS, sincePriorS] = [
    trace.time[last] as number,
    (trace.time[last] as number) - (trace.time[last - 1] as number),
  ];
  // A pulse between two samples may have been longer by half of the time between them.
  if (lengthS + sincePriorS / 2 >= secondSeconds * (1 - SAME_LENGTH)) {
    const saggingS = trace.time[lastSaggingIndex(trace, last)] as number;
    read("second", Math.min(beginsS + secondSeconds, lastS, saggingS), SECOND_WINDOW_S);
  }
  const before = reads.get("first-pulse-current")?.value;
  const rise = before === undefined ? null : riseS(trace, found.index, before, levelA);
  if (rise !== null) reads.set("second-pulse-rise", { value: rise, channel: "time" });
  return reads;
}

/** Where the current crosses the level and stays above it, with the first sample from there on. */
function secondPulse({ time, current }: Trace, level: number, endS: number): { beginsS: number; index: number } | null {
  for (let i = Math.max(1, indexAtOrAfter(time, 0)); i < time.length && (time[i] as number) <= endS; i++) {
    if ((current[i - 1] as number) >= level || (current[i] as number) < level) continue;
    const held = indexAtOrAfter(time, (time[i] as number) + HELD_S);
    if (!current.subarray(i, held).every((amps) => amps >= level)) continue;
    return { beginsS: crossing({ time, current }, i, level), index: i };
  }
  return null;
}

/** Where the line from the sample before to this one meets the level. */
function crossing({ time, current }: Pick<Trace, "time" | "current">, index: number, level: number): number {
  const [t0, t1] = [time[index - 1] as number, time[index] as number];
  const [before, after] = [current[index - 1] as number, current[index] as number];
  return t0 + ((t1 - t0) * (level - before)) / (after - before);
}

function levelFrom({ time, current }: Trace, from: number): number {
  return median(current.subarray(from, indexAtOrAfter(time, (time[from] as number) + LEVEL_S)));
}

/** Index of the last sample before the current falls below the level it had reached. */
function lastHeld({ time, current }: Trace, from: number, level: number): number {
  let i = from;
  while (i < time.length && (current[i] as number) < level) i++;
  while (i + 1 < time.length && (current[i + 1] as number) >= level) i++;
  return Math.min(i, time.length - 1);
}

/** Where the current, from its last held sample on, falls through the level; the end of the log when it does not. */
function endOfPulse({ time, current }: Trace, last: number, level: number): number {
  for (let i = last + 1; i < time.length; i++)
    if ((current[i] as number) < level) return crossing({ time, current }, i, level);
  return time[time.length - 1] as number;
}

/** Time from 10 % to 90 % of the step from one current to the other; null when there is no such step. */
function riseS({ time, current }: Trace, index: number, fromA: number, toA: number): number | null {
  const [low, high] = [fromA + 0.1 * (toA - fromA), fromA + 0.9 * (toA - fromA)];
  let top = index;
  while (top < time.length - 1 && (current[top] as number) < high) top++;
  let foot = index;
  while (foot > 1 && (current[foot - 1] as number) >= low) foot--;
  const isStep = high > low && (current[foot - 1] as number) < low && (current[top] as number) >= high;
  return isStep ? crossing({ time, current }, top, high) - crossing({ time, current }, foot, low) : null;
}
