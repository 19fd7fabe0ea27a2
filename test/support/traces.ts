import type { LogChannels } from "../../src/core/channels/read-log.js";
import type { Trace } from "../../src/core/model.js";

/** Instants from `fromS` to `toS`, both included, `rateHz` of them a second. */
export function instants(fromS: number, toS: number, rateHz: number): Float64Array {
  const count = Math.round((toS - fromS) * rateHz) + 1;
  return Float64Array.from({ length: count }, (_, i) => fromS + i / rateHz);
}

interface Course {
  readonly volts: (seconds: number) => number;
  readonly amperes: (seconds: number) => number;
  readonly celsius?: (seconds: number) => number;
}

/** The trace of a course, sampled without error. */
export function traceOf(time: Float64Array, { volts, amperes, celsius }: Course): Trace {
  return {
    time,
    voltage: time.map(volts),
    current: time.map(amperes),
    temperature: celsius ? time.map(celsius) : null,
  };
}

/** A trace as the channels of a log that was read without a blemish. */
export function channelsOf(trace: Trace, more: Partial<LogChannels> = {}): LogChannels {
  return {
    time: trace.time,
    voltage: trace.voltage,
    current: trace.current,
    dischargeSign: null,
    currentIsDerived: false,
    temperatures: trace.temperature ? [trace.temperature] : [],
    cells: [],
    power: null,
    charge: null,
    energy: null,
    lines: Uint32Array.from(trace.time, (_, i) => i + 2),
    lostRows: { count: 0, first: null },
    ...more,
  };
}

/** A log with commas, units in brackets, and every digit that a double has. */
export function csvOf({ time, voltage, current, temperature }: Trace): string {
  const header = ["Time [s]", "Voltage [V]", "Current [A]", ...(temperature ? ["Temperature [degC]"] : [])];
  const channels = [time, voltage, current, ...(temperature ? [temperature] : [])];
  const rows = Array.from(time, (_, i) => channels.map((values) => values[i]));
  return [header, ...rows].map((row) => `${row.join(",")}\n`).join("");
}
