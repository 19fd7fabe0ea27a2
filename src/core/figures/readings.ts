import type { Trace } from "../model.js";
import { powerOf } from "../trace/power.js";
import { firstReach, integrate, largestMean, mean } from "../trace/series.js";
import type { Stop } from "../trace/stop.js";
import { type ChosenWindow, chosenReadings } from "./chosen-windows.js";
import { type PulseLevels, pulseReadings } from "./pulse-readings.js";
import type { MarkName, Reading, ReadingKey, Readings } from "./reading.js";

/** Width of the window of a mark, s; half of it on either side of the mark's instant. */
const MARK_WINDOW_S = 1;
const CUTOFF_WINDOW_S = 0.5;
const PEAK_WINDOW_S = 0.5;
const PEAK_WITHIN_S = 5;
const HOTTEST_WINDOW_S = 1;

const MARKS_S = { "1s": 1, "10s": 10, "30s": 30 } as const;

/** What reading a trace needs beside it. */
export interface ReadingFrame {
  readonly stop: Pick<Stop, "cutoffS" | "endS">;
  readonly rest: { readonly volts: number; readonly samples: number } | null;
  readonly startTemperatureC: number | null;
  readonly temperatureLimitC: number;
  readonly pulses: PulseLevels | null;
  /** Added to the instant at which the second pulse begins, s. */
  readonly pulseShiftS: number;
  readonly windows?: readonly ChosenWindow[] | undefined;
}

/** Everything that figures are made of, read off the trace between onset and the end of reading. */
export function readTrace(trace: Trace, frame: ReadingFrame): Readings {
  const power = powerOf(trace);
  const { endS, cutoffS } = frame.stop;
  const reads = new Map<ReadingKey, Reading>();
  const readMeans = (mark: MarkName, from: number, to: number) => {
    const chosen = mark === "peak" ? { chosenFrom: { from: 0, to: PEAK_WITHIN_S - PEAK_WINDOW_S } } : {};
    const of = (values: Float64Array) => ({
      value: mean(trace.time, values, from, to),
      meanOverS: to - from,
      ...chosen,
    });
    reads.set(`power-${mark}`, { ...of(power), channel: "power" });
    reads.set(`voltage-${mark}`, { ...of(trace.voltage), channel: "voltage" });
    reads.set(`current-${mark}`, { ...of(trace.current), channel: "current" });
  };
  if (endS >= PEAK_WITHIN_S) {
    const from = peakBegin(trace, power);
    readMeans("peak", from, from + PEAK_WINDOW_S);
  }
  for (const [name, instant] of Object.entries(MARKS_S) as [keyof typeof MARKS_S, number][]) {
    if (endS >= instant + MARK_WINDOW_S / 2) readMeans(name, instant - MARK_WINDOW_S / 2, instant + MARK_WINDOW_S / 2);
  }
  if (cutoffS !== null && cutoffS >= CUTOFF_WINDOW_S) readMeans("cutoff", cutoffS - CUTOFF_WINDOW_S, cutoffS);
  readIntegrals(trace, power, endS, reads);
  readRest(frame, reads);
  readTemperatures(trace, frame, reads);
  if (frame.pulses) {
    for (const [key, read] of pulseReadings(trace, frame.pulses, endS, frame.pulseShiftS)) reads.set(key, read);
  }
  for (const [key, read] of chosenReadings(trace, power, frame.windows ?? [], endS)) reads.set(key, read);
  return reads;
}

/** Where the peak is read, s from onset: the middle of its window. Null for a trace that ends before the peak's 5 s. */
export function peakInstant(trace: Trace): number | null {
  if ((trace.time.at(-1) ?? 0) < PEAK_WITHIN_S) return null;
  return peakBegin(trace, powerOf(trace)) + PEAK_WINDOW_S / 2;
}

function peakBegin({ time }: Trace, power: Float64Array): number {
  return largestMean(time, power, PEAK_WINDOW_S, 0, PEAK_WITHIN_S).from;
}

const SECONDS_PER_HOUR = 3600;

function readIntegrals(trace: Trace, power: Float64Array, endS: number, reads: Map<ReadingKey, Reading>): void {
  const hours = { integralOverS: endS, integralFactor: 1 / SECONDS_PER_HOUR };
  reads.set("charge", {
    value: integrate(trace.time, trace.current, 0, endS) / SECONDS_PER_HOUR,
    channel: "current",
    ...hours,
  });
  reads.set("energy", { value: integrate(trace.time, power, 0, endS) / SECONDS_PER_HOUR, channel: "power", ...hours });
  reads.set("end", { value: endS, channel: "time" });
}

function readRest(frame: ReadingFrame, reads: Map<ReadingKey, Reading>): void {
  if (frame.rest)
    reads.set("rest-voltage", { value: frame.rest.volts, channel: "voltage", medianOf: frame.rest.samples });
}

function readTemperatures(trace: Trace, frame: ReadingFrame, reads: Map<ReadingKey, Reading>): void {
  if (!trace.temperature || frame.startTemperatureC === null || frame.stop.endS < HOTTEST_WINDOW_S) return;
  const { endS } = frame.stop;
  const hottest = largestMean(trace.time, trace.temperature, HOTTEST_WINDOW_S, 0, endS).mean;
  reads.set("start-temperature", {
    value: frame.startTemperatureC,
    channel: "temperature",
    medianOf: frame.rest?.samples ?? 1,
  });
  reads.set("highest-temperature", {
    value: hottest,
    channel: "temperature",
    meanOverS: HOTTEST_WINDOW_S,
    chosenFrom: { from: 0, to: endS - HOTTEST_WINDOW_S },
  });
  const reached = firstReach(trace.time, trace.temperature, frame.temperatureLimitC, "up", 0, endS);
  if (reached !== null) reads.set("time-to-limit", { value: reached, channel: "time" });
}
