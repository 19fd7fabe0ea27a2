import { KNOWN_RUN } from "../../../support/known-run.js";
import { type Shape, type WholeSample, writeLog } from "../../../support/written-log.js";
import { EVERYDAY_SHAPES } from "./everyday-shapes.js";

const PLAIN: Shape = {
  delimiter: ",",
  decimalMark: ".",
  lineEnd: "\n",
  encoding: "utf-8",
  language: "English",
  unitStyle: "brackets",
  timeForm: "s",
  voltageUnit: "V",
  currentUnit: "A",
  temperatureUnit: "degC",
  preamble: [],
  quoted: "where needed",
  order: [1, 2, 3, 4, 5, 6, 7],
  extraColumns: false,
  negative: false,
  lastLineEnds: true,
  gzip: false,
};
const shaped = (change: Partial<Shape>): Uint8Array => writeLog(KNOWN_RUN, { ...PLAIN, ...change });
const lines = Buffer.from(shaped({})).toString().trimEnd().split("\n");
const [header = "", ...body] = lines;
const text = (all: readonly string[], end = "\n") => Buffer.from(`${all.join(end)}${end}`);
/** The table with each row rewritten from its sample and its cells. */
const rewritten = (head: string, row: (sample: WholeSample, cells: readonly string[], index: number) => string) =>
  text([head, ...KNOWN_RUN.map((sample, i) => row(sample, (body[i] ?? "").split(","), i))]);
const german = { delimiter: ";", decimalMark: ",", language: "German" } as const;
const NEAR_MIDNIGHT_MS = Date.UTC(2026, 4, 2, 23, 59, 50);
const clockAt = (ms: number) => new Date(NEAR_MIDNIGHT_MS + ms).toISOString().slice(11, 23);
const columns = {
  time: KNOWN_RUN.map(({ ms }) => ms / 1000),
  voltage: KNOWN_RUN.map(({ mV }) => mV / 1000),
  current: KNOWN_RUN.map(({ cA }) => cA / 100),
  temperature: KNOWN_RUN.map(({ dC }) => dC / 10),
};
const units = { time: "s", voltage: "V", current: "A", temperature: "degC" };

/** Every file under `ok/`: the known run in one shape each, or with one damage that reading mends. */
export const OK_FILES: Readonly<Record<string, Uint8Array>> = {
  ...EVERYDAY_SHAPES,
  "comma.csv": shaped({}),
  "semicolon-decimal-comma.csv": shaped(german),
  "tab.txt": shaped({ delimiter: "\t" }),
  "pipe.txt": shaped({ delimiter: "|" }),
  "spaces.txt": shaped({ delimiter: "   " }),
  "quoted-decimal-comma.csv": shaped({ quoted: "all", decimalMark: "," }),
  "crlf.csv": shaped({ lineEnd: "\r\n" }),
  "cr.csv": shaped({ lineEnd: "\r" }),
  "mixed-line-ends.csv": Buffer.from(lines.map((line, i) => line + (["\n", "\r\n", "\r"][i % 3] ?? "")).join("")),
  "utf-8-with-mark.csv": shaped({ encoding: "utf-8 with mark", language: "French" }),
  "utf-16le.csv": shaped({ encoding: "utf-16le", language: "Polish" }),
  "utf-16be.csv": shaped({ encoding: "utf-16be", language: "French" }),
  "latin-1.csv": shaped({ encoding: "latin-1", language: "French" }),
  "gzip.csv.gz": shaped({ gzip: true }),
  "preamble.csv": shaped({ preamble: ["Bench 4; hall B", 'Said: "ready"', "Range,60,200", "Offset;0,5", "12345", ""] }),
  "preamble-line-break-in-quotes.csv": shaped({ preamble: ['"First run,\n\nnew pack",3', ""] }),
  "header-line-break-in-quotes.csv": text(['Time [s],"Voltage\n[V]","Current\n[A]",Temperature [degC]', ...body]),
  "cell-line-break-in-quotes.csv": text([
    `${header},Note`,
    ...body.map((row, i) => `${row},${i === 30 ? '"load on,\nall well"' : ""}`),
  ]),
  "units-row.csv": shaped({ unitStyle: "units row" }),
  "units-in-parentheses.csv": shaped({ unitStyle: "parentheses" }),
  "units-after-slash.csv": shaped({ unitStyle: "slash" }),
  "units-after-underscore.csv": shaped({ unitStyle: "underscore" }),
  "units-implied.csv": shaped({ unitStyle: "none" }),
  "units-implied-thousandths.csv": shaped({ unitStyle: "none", timeForm: "ms", voltageUnit: "mV", currentUnit: "mA" }),
  "time-in-ms.csv": shaped({ timeForm: "ms" }),
  "time-in-us.csv": shaped({ timeForm: "us" }),
  "time-in-min.csv": shaped({ timeForm: "min" }),
  "time-clock.csv": shaped({ timeForm: "h:m:s" }),
  "time-clock-past-midnight.csv": rewritten(header.replace("Time [s]", "Time"), ({ ms }, cells) =>
    [clockAt(ms), ...cells.slice(1)].join(","),
  ),
  "time-minutes-seconds.csv": shaped({ timeForm: "m:s" }),
  "time-iso.csv": shaped({ timeForm: "iso" }),
  "time-iso-with-zone.csv": shaped({ timeForm: "isoZ" }),
  "time-iso-with-space.csv": shaped({ timeForm: "isoBlank" }),
  "time-date-and-clock.csv": shaped({ timeForm: "date and time" }),
  "time-since-1970-s.csv": shaped({ timeForm: "epoch s" }),
  "time-since-1970-ms.csv": shaped({ timeForm: "epoch ms" }),
  "time-since-1970-us.csv": shaped({ timeForm: "epoch us" }),
  "time-since-1970-implied.csv": rewritten(header.replace("Time [s]", "Epoch"), ({ ms }, cells) =>
    [NEAR_MIDNIGHT_MS + ms, ...cells.slice(1)].join(","),
  ),
  "time-counted-beside-time-of-day.csv": rewritten(
    `Timestamp,${header.replace("Time", "Elapsed time")}`,
    ({ ms }, cells) => [new Date(NEAR_MIDNIGHT_MS + ms).toISOString(), ...cells].join(","),
  ),
  "headers-german.csv": shaped(german),
  "headers-french.csv": shaped({ language: "French" }),
  "headers-spanish.csv": shaped({ language: "Spanish" }),
  "headers-italian.csv": shaped({ language: "Italian" }),
  "headers-dutch.csv": shaped({ language: "Dutch" }),
  "headers-polish.csv": shaped({ language: "Polish" }),
  "thousandths.csv": shaped({ voltageUnit: "mV", currentUnit: "mA" }),
  "fahrenheit.csv": shaped({ temperatureUnit: "degF" }),
  "kelvin.csv": shaped({ temperatureUnit: "K" }),
  "cells.csv": rewritten(
    "Time [s],Cell 1 [mV],Cell 2 [mV],Cell 3 [mV],Cell 4 [mV],Current [A]",
    ({ mV }, [time, , current]) => {
      const first = Math.floor(mV / 4) - 2;
      return [time, first, first + 1, first + 3, mV - 3 * first - 4, current].join(",");
    },
  ),
  "two-probes.csv": rewritten(header.replace("Temperature [degC]", "Temp 1 [degC],Temp 2 [degC]"), ({ dC }, cells, i) =>
    [
      ...cells.slice(0, 3),
      ...(i % 2 === 0 ? [dC, dC - 15] : [dC - 7, dC]).map((tenths) => (tenths / 10).toFixed(1)),
    ].join(","),
  ),
  "other-columns.csv": shaped({ extraColumns: true, order: [3, 5, 1, 6, 2, 4] }),
  "statistics-beside.csv": rewritten(`${header},V min,V max,I avg [A]`, (_, cells) =>
    [...cells, "13.9", "16.8", "90.0"].join(","),
  ),
  "discharge-negative.csv": shaped({ negative: true }),
  "repeated-header.csv": text([header, ...body.slice(0, 50), header, ...body.slice(50)]),
  "summary-table-after.csv": text([...lines, "", "Cell,Voltage [V],Resistance [mohm]", "1,3.725,2.1", "2,3.721,2.3"]),
  "trailing-summary.csv": text([...lines, "", "Samples,120,,", "Mean,14.90,78.00,23.5"]),
  "json-columns.json": Buffer.from(
    JSON.stringify(
      Object.fromEntries(
        Object.entries(columns).map(([name, values]) => [`${name} [${units[name as keyof typeof units]}]`, values]),
      ),
    ),
  ),
  "json-columns-with-units.json": Buffer.from(
    JSON.stringify({
      bench: "no. 4",
      columns: Object.entries(columns).map(([name, values]) => ({
        name,
        unit: units[name as keyof typeof units],
        values,
      })),
    }),
  ),
  "json-records.json": Buffer.from(
    JSON.stringify(KNOWN_RUN.map(({ ms, mV, cA }) => ({ t_ms: ms, U_mV: mV, I_A: cA / 100 }))),
  ),
  "damage-cells-without-reading.csv": rewritten(header, (_, cells, i) => {
    const marks: Record<number, string> = { 40: "OL", 41: "inf", 42: "---", 43: "n/a", 44: "", 45: "NaN", 46: "1e999" };
    return [...cells.slice(0, 3), marks[i] ?? cells[3]].join(",");
  }),
  "damage-nul-byte.csv": rewritten(header, (_, cells, i) =>
    i === 60 ? cells.join(",").replace(/\d$/, "\0") : cells.join(","),
  ),
  "damage-zeros-at-the-end.csv": Buffer.concat([text(lines), Buffer.alloc(512)]),
  "damage-tail-cut.csv": text(lines).subarray(0, -9),
  "damage-row-without-time.csv": rewritten(header, (_, cells, i) =>
    i === 60 ? cells.with(0, "--").join(",") : cells.join(","),
  ),
};
