import { digits, type Layout, rowsOf, utf8 } from "./layout.js";

/** Tabs, a row of units under the header, h:m:s times, CRLF. */
export const tab: Layout = {
  extension: "tsv",
  mediaType: "text/tab-separated-values",
  write: (log, { resolution }) => {
    const { temperature } = log;
    const header = ["Time", "Pack voltage", "Load current", ...(temperature ? ["Pack temperature"] : [])];
    const units = ["h:m:s", "V", "A", ...(temperature ? ["°C"] : [])];
    const rows = rowsOf(log, (i, seconds) => [
      clock(seconds),
      digits(log.voltage, i, resolution.volts),
      digits(log.current, i, resolution.amperes),
      ...(temperature ? [digits(temperature, i, resolution.kelvin)] : []),
    ]);
    return utf8([header, units, ...rows].map((fields) => `${fields.join("\t")}\r\n`).join(""));
  },
};

function clock(seconds: number): string {
  const milliseconds = Math.round(seconds * 1000);
  const part = (value: number, width: number) => String(Math.floor(value)).padStart(width, "0");
  const [h, m] = [part(milliseconds / 3_600_000, 1), part((milliseconds / 60_000) % 60, 2)];
  return `${h}:${m}:${part((milliseconds / 1000) % 60, 2)}.${part(milliseconds % 1000, 3)}`;
}
