import type { BenchLog } from "../simulator/bench.js";
import { digits, type Layout, rowsOf, utf8 } from "./layout.js";

/** Pipes, ISO 8601 times, discharge current negative, power and charge logged beside. */
export const pipe: Layout = {
  extension: "log",
  mediaType: "text/plain",
  write: (log, { resolution, startedAt }) => {
    const { temperature } = log;
    const charge = chargeMilliampereHours(log);
    const current = log.current.map((amperes) => -amperes);
    const header = ["timestamp", "U/V", "I/A", "P/W", "Q/mAh", ...(temperature ? ["T/degC"] : [])];
    const rows = rowsOf(log, (i, seconds) => [
      new Date(startedAt.getTime() + Math.round(seconds * 1000)).toISOString(),
      digits(log.voltage, i, resolution.volts),
      digits(current, i, resolution.amperes),
      ((log.voltage[i] as number) * (log.current[i] as number)).toFixed(1),
      digits(charge, i, 1),
      ...(temperature ? [digits(temperature, i, resolution.kelvin)] : []),
    ]);
    return utf8([header, ...rows].map((fields) => `${fields.join("|")}\n`).join(""));
  },
};

function chargeMilliampereHours({ timeSeconds, current }: BenchLog): number[] {
  let total = 0;
  return timeSeconds.map((seconds, i) => {
    if (i > 0) {
      const mean = ((current[i - 1] as number) + (current[i] as number)) / 2;
      total += (mean * (seconds - (timeSeconds[i - 1] as number))) / 3.6;
    }
    return total;
  });
}
