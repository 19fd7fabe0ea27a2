import type { BenchLog } from "../simulator/bench.js";
import { digits, type Layout, rowsOf } from "./layout.js";

/** UTF-16 with a byte order mark, every field quoted, cell voltages beside the pack's, a summary at the end. */
export const quoted: Layout = {
  extension: "csv",
  mediaType: "text/csv; charset=utf-16",
  write: (log, { resolution, title }) => {
    const { temperature } = log;
    const cellCount = log.cells?.[0]?.length ?? 0;
    const header = [
      "Elapsed (s)",
      "Battery voltage (V)",
      ...Array.from({ length: cellCount }, (_, cell) => `Cell ${cell + 1} (V)`),
      "Current (A)",
      ...(temperature ? ["Temp (°C)"] : []),
    ];
    const rows = rowsOf(log, (i, seconds) => [
      seconds.toFixed(3),
      digits(log.voltage, i, resolution.volts),
      ...(log.cells?.[i] ?? []).map((_, cell, cells) => digits(cells, cell, resolution.volts)),
      digits(log.current, i, resolution.amperes),
      ...(temperature ? [digits(temperature, i, resolution.kelvin)] : []),
    ]);
    const lines = [header, ...rows, [""], ...summary(log, title)];
    const text = lines.map((fields) => `${fields.map((field) => `"${field}"`).join(",")}\r\n`).join("");
    return Buffer.from(`\uFEFF${text}`, "utf16le");
  },
};

function summary(log: BenchLog, title: string): string[][] {
  const largest = log.current.reduce((a, b) => Math.max(a, b), 0);
  const lowest = log.voltage.reduce((a, b) => Math.min(a, b), Number.POSITIVE_INFINITY);
  return [
    ["Summary", title],
    ["Largest current (A)", largest.toFixed(1)],
    ["Lowest voltage (V)", lowest.toFixed(2)],
  ];
}
