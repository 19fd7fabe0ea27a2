import { gzipSync } from "node:zlib";
import type { Trace } from "../../src/core/model.js";

/** One row of a log as numbers: s, V, A, degC. */
type Row = readonly [seconds: number, volts: number, amperes: number, celsius: number];
type Writer = (rows: readonly Row[]) => string | Uint8Array;

const comma = (text: string) => text.replace(".", ",");
const lines = (...all: readonly (string | readonly string[])[]) => `${all.flat().join("\n")}\n`;
const digits = ([t, v, a, c]: Row) => [t.toFixed(3), v.toFixed(3), a.toFixed(2), c.toFixed(1)];
const HEADER = ["Time [s]", "Voltage [V]", "Current [A]", "Temperature [degC]"];

const points: Writer = (rows) =>
  lines(
    HEADER.join(","),
    rows.map((row) => digits(row).join(",")),
  );
const START = Date.UTC(2026, 4, 2, 23, 59, 0);

/** The same readings, written by loggers that agree on nothing. */
export const LAYOUTS: Readonly<Record<string, Writer>> = {
  "commas and points": points,
  "semicolons and decimal commas": (rows) =>
    lines(
      "Zeit (s);Spannung (V);Strom (A);Temperatur (°C)",
      rows.map((row) => digits(row).map(comma).join(";")),
    ),
  "quoted fields with decimal commas": (rows) =>
    lines(
      HEADER.map((h) => `"${h}"`).join(","),
      rows.map((row) =>
        digits(row)
          .map((d) => `"${comma(d)}"`)
          .join(","),
      ),
    ),
  "tabs, milliseconds, millivolts and milliamperes": (rows) =>
    lines(
      "time_ms\tvoltage_mV\tcurrent_mA\ttemp_C",
      rows.map(([t, v, a, c]) =>
        [t * 1000, v * 1000, a * 1000]
          .map((n) => n.toFixed(0))
          .concat(c.toFixed(1))
          .join("\t"),
      ),
    ),
  "pipes and a units row": (rows) =>
    lines(
      "Time|Voltage|Current|Temperature",
      "s|V|A|degC",
      rows.map((row) => digits(row).join("|")),
    ),
  "columns of blanks": (rows) =>
    lines(
      "t [s]  U [V]  I [A]  T [degC]",
      rows.map((row) =>
        digits(row)
          .map((d) => d.padStart(10))
          .join(" "),
      ),
    ),
  "a preamble, a repeated header and a summary": (rows) => {
    const body = rows.map((row) => digits(row).join(","));
    const header = HEADER.join(",");
    return lines("Bench 4", "Range,60,200", "", header, body.slice(0, 300), header, body.slice(300), "", "Samples,all");
  },
  "other columns before, between and after": (rows) =>
    lines(
      "No.;Throttle [%];Ambient [degC];Time [s];Setpoint [A];Voltage [V];Current [A];Temperature [degC];Note",
      rows.map((row, i) => [i, 100, 21.5, digits(row)[0], 95, ...digits(row).slice(1), "ok"].join(";")),
    ),
  "CRLF and UTF-8 with a byte order mark": (rows) =>
    Buffer.from(`\ufeff${String(points(rows)).replaceAll("\n", "\r\n")}`),
  "CR alone": (rows) => String(points(rows)).replaceAll("\n", "\r"),
  "UTF-16": (rows) => Buffer.from(`\ufeff${String(points(rows))}`, "utf16le"),
  gzip: (rows) => gzipSync(points(rows)),
  "discharge counted as negative": (rows) => points(rows.map(([t, v, a, c]) => [t, v, -a, c])),
  "times that do not begin at zero": (rows) => points(rows.map(([t, v, a, c]) => [t + 5000, v, a, c])),
  "a clock that passes midnight": (rows) =>
    lines(
      "Clock,Voltage [V],Current [A],Temperature [degC]",
      rows.map((row) =>
        [new Date(START + row[0] * 1000).toISOString().slice(11, 23), ...digits(row).slice(1)].join(","),
      ),
    ),
  "ISO 8601": (rows) =>
    lines(
      "Timestamp,Voltage [V],Current [A],Temperature [degC]",
      rows.map((row) => [new Date(START + row[0] * 1000).toISOString(), ...digits(row).slice(1)].join(",")),
    ),
  "four cells in place of the pack": (rows) =>
    lines(
      "t [s],Cell1 [V],Cell2 [V],Cell3 [V],Cell4 [V],I [A],T [degC]",
      rows.map(([t, v, a, c]) =>
        [t.toFixed(3), ...[v / 4, v / 4, v / 4, v / 4].map((n) => n.toFixed(6)), a.toFixed(2), c.toFixed(1)].join(","),
      ),
    ),
  kelvin: (rows) =>
    lines(
      "Time [s],Voltage [V],Current [A],Temp [K]",
      rows.map((row) => [...digits(row).slice(0, 3), (row[3] + 273.15).toFixed(2)].join(",")),
    ),
};

/** Readings to the digits that all layouts write. */
export function rowsOf({ time, voltage, current, temperature }: Trace): Row[] {
  const rounded = (value: number, decimals: number) => Number(value.toFixed(decimals));
  return Array.from(time, (t, i) => [
    rounded(t, 3),
    rounded(voltage[i] as number, 3),
    rounded(current[i] as number, 2),
    rounded(temperature?.[i] ?? 20, 1),
  ]);
}
