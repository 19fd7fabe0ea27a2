import { zipSync } from "fflate";
import { KNOWN_RUN } from "../../../support/known-run.js";
import type { WholeSample } from "../../../support/written-log.js";
import { workbookOf } from "../workbook.js";

type Row = (sample: WholeSample, index: number) => string;

const START_MS = Date.UTC(2026, 4, 2, 9, 12);
const s = ({ ms }: WholeSample) => (ms / 1000).toFixed(1);
const v = ({ mV }: WholeSample) => (mV / 1000).toFixed(3);
const a = ({ cA }: WholeSample) => (cA / 100).toFixed(2);
const c = ({ dC }: WholeSample) => (dC / 10).toFixed(1);
const at = ({ ms }: WholeSample, from = START_MS) => new Date(from + ms).toISOString();
const clock = (sample: WholeSample, from = START_MS) => at(sample, from).slice(11, 21);
const text = (...lines: readonly (string | readonly string[])[]) => Buffer.from(`${lines.flat().join("\n")}\n`);
const table = (head: string | readonly string[], row: Row) => text(head, KNOWN_RUN.map(row));
const plain = (head: string, time: Row) => table(head, (one, i) => [time(one, i), v(one), a(one), c(one)].join(","));
const comma = (cell: string) => cell.replace(".", ",");

/** "09:12:00.2" as a clock of twelve hours. */
function halfDay(sample: WholeSample, from = START_MS): string {
  const hour = Number(clock(sample, from).slice(0, 2));
  return `${hour % 12 || 12}${clock(sample, from).slice(2)} ${hour < 12 ? "AM" : "PM"}`;
}
const thousands = (whole: number, mark: string) => String(whole).replace(/\B(?=(\d{3})+$)/g, mark);
const serial = ({ ms }: WholeSample) => (START_MS + ms) / 86_400_000 + 25_569;
const pad = (cells: readonly string[], widths: readonly number[]) =>
  cells.map((cell, i) => cell.padStart(widths[i] ?? 10)).join("");
const rest = "Voltage [V],Current [A],Temperature [degC]";
const named = (time: string) => `${time},${rest}`;
const NEAR_NOON_MS = Date.UTC(2026, 4, 2, 11, 59, 50);
/** Fourteen seconds before the clocks of many countries are set to summer time. */
const SUMMER_MS = Date.UTC(2026, 2, 29, 1, 59, 46);
const HOUR_MS = 3_600_000;
const SET_FROM = 70;
const NEAR_MIDNIGHT_MS = Date.UTC(2026, 4, 13, 23, 59, 50);
const tap = ({ mV }: WholeSample, n: number) => ((mV * n) / 4000).toFixed(5);
const records = KNOWN_RUN.map((one) => ({
  t_ms: one.ms,
  pack: { U: { value: one.mV, unit: "mV" }, A: one.cA / 100 },
}));
const csv = plain(named("Time [s]"), s);

/** The known run as everyday tools write it. */
export const EVERYDAY_SHAPES: Readonly<Record<string, Uint8Array>> = {
  "clock-am-pm.csv": plain(named("Time"), (one) => halfDay(one)),
  "clock-am-pm-over-noon.csv": plain(named("Time"), (one) => halfDay(one, NEAR_NOON_MS)),
  "clock-in-whole-seconds.csv": plain(named("Time"), (one) => clock(one).slice(0, 8)),
  "clock-in-brackets-before-rows.txt": table(
    "[09:11:59.9] t [s] U [V] I [A]",
    (one) => `[${clock(one)}] ${s(one)} ${v(one)} ${a(one)}`,
  ),
  "clock-and-arrow-before-rows.txt": table(
    "09:11:59.9 -> U [V],I [A],T [degC]",
    (one) => `${clock(one)} -> ${v(one)},${a(one)},${c(one)}`,
  ),
  "clock-set-forward.csv": plain(named("Time"), (one, i) =>
    at(one, SUMMER_MS + (i < SET_FROM ? 0 : HOUR_MS)).slice(0, 23),
  ),
  "clock-set-back.csv": plain(named("Time"), (one, i) => clock(one, SUMMER_MS + (i < SET_FROM ? HOUR_MS : 0))),
  "dates-slashed-of-one-day.csv": plain(named("Date and time"), (one) => `05/02/2026 ${clock(one)}`),
  "dates-slashed-day-first.csv": plain(named("Timestamp"), (one) => {
    const [year, month, day] = at(one, NEAR_MIDNIGHT_MS).slice(0, 10).split("-");
    return `${day}/${month}/${year} ${clock(one, NEAR_MIDNIGHT_MS)}`;
  }),
  "dates-slashed-am-pm.csv": plain(named("Timestamp"), (one) => {
    const [, month, day] = at(one, NEAR_MIDNIGHT_MS).slice(0, 10).split("-");
    return `${Number(month)}/${day}/26 ${halfDay(one, NEAR_MIDNIGHT_MS)}`;
  }),
  "date-with-month-name.csv": plain(named("Timestamp"), (one) => `2 May 2026 ${clock(one)}`),
  "days-of-a-spreadsheet.csv": plain(named("Time"), (one) => serial(one).toFixed(12)),
  "days-with-unit.csv": plain(named("Time [d]"), ({ ms }) => (ms / 86_400_000).toFixed(12)),
  "comment-mark-before-header.txt": table(["# bench 4", "# t[s] U[V] I[A] T[C]"], (one) =>
    [s(one), v(one), a(one), c(one)].join(" "),
  ),
  "headers-of-several-words.txt": table("  Elapsed time   Pack voltage   Pack current   Pack temp [degC]", (one) =>
    pad([s(one), v(one), a(one), c(one)], [14, 15, 15, 19]),
  ),
  "headers-over-their-columns.txt": table("Elapsed time Pack voltage Pack current", (one) =>
    pad([s(one), v(one), a(one)], [12, 13, 13]),
  ),
  "thousands-with-commas.csv": table("Time [ms];Voltage [mV];Current [mA]", ({ ms, mV, cA }) =>
    [ms, mV, cA * 10].map((whole) => thousands(whole, ",")).join(";"),
  ),
  "thousands-with-points.csv": table("Zeit [ms];Spannung [mV];Strom [A]", ({ ms, mV, cA }) =>
    [thousands(ms, "."), thousands(mV, "."), comma((cA / 100).toFixed(2))].join(";"),
  ),
  "thousands-with-apostrophes.csv": table("Time [ms];Voltage [mV];Current [A]", ({ ms, mV, cA }) =>
    [thousands(ms, "'"), thousands(mV, "’"), (cA / 100).toFixed(2)].join(";"),
  ),
  "thousands-with-spaces.csv": table("Time [ms],Voltage [mV],Current [A]", ({ ms, mV, cA }) =>
    [thousands(ms, " "), thousands(mV, "\u202f"), (cA / 100).toFixed(2)].join(","),
  ),
  "units-in-cells.csv": table("Time,Voltage,Current,Temp", (one) =>
    [`${s(one)} s`, `${v(one)} V`, `${a(one)}A`, `${c(one)}°C`].join(","),
  ),
  "units-in-cells-that-change.csv": table("Time,Voltage,Current", (one) =>
    [`${s(one)}s`, `${v(one)}V`, one.cA < 100 ? `${one.cA * 10} mA` : `${a(one)} A`].join(","),
  ),
  "minus-of-typography.csv": table(named("Time [s]"), (one) =>
    [s(one), v(one), one.cA === 0 ? a(one) : `\u2212${a(one)}`, c(one)].join(","),
  ),
  "label-equals-value.txt": table([], (one) => `t=${s(one)} U=${v(one)}V I=${a(one)}A T=${c(one)}C`),
  "label-colon-value.txt": table([], (one) => `Time: ${s(one)} s, Voltage: ${v(one)} V, Current: ${a(one)} A`),
  "label-colon-value-after-clock.txt": table([], (one) => `${clock(one)} Voltage:${v(one)} Current:${a(one)}`),
  "label-a-line.txt": table([], (one) =>
    [`Time (s): ${s(one)}`, `Voltage (V): ${v(one)}`, `Current (A): ${a(one)}`, ""].join("\n"),
  ),
  "preamble-with-separators.txt": table(["Bench 4", "==========", named("Time [s]"), "----,----,----,----"], (one) =>
    [s(one), v(one), a(one), c(one)].join(","),
  ),
  "page-table.md": table(
    ["| t [s] | U [V] | I [A] |", "|-------|-------|-------|"],
    (one) => `| ${s(one)} | ${v(one)} | ${a(one)} |`,
  ),
  "note-with-comma.csv": table(`${named("Time [s]")},Note`, (one, i) =>
    [s(one), v(one), a(one), c(one), i === 0 ? "rest, then load" : ""].join(","),
  ),
  "note-beside-some-rows.csv": table(`${named("Time [s]")},Note`, (one, i) =>
    [s(one), v(one), a(one), c(one), ...(i === 20 ? ["load on"] : [])].join(","),
  ),
  "units-after-commas.csv": table("Time, s, Voltage, V, Current, A", (one) => [s(one), v(one), a(one)].join(",")),
  "row-numbers-without-name.csv": table(
    '"t [s]" "U [V]" "I [A]"',
    (one, i) => `"${i + 1}" ${s(one)} ${v(one)} ${a(one)}`,
  ),
  "interval-declared.csv": table(["Sample interval: 200 ms", rest], (one) => [v(one), a(one), c(one)].join(",")),
  "rate-declared.csv": table(["Sampling rate;5 Hz", "Spannung [V];Strom [A]"], (one) =>
    [comma(v(one)), comma(a(one))].join(";"),
  ),
  "power-without-current.csv": table("Time [s],Voltage [V],Power [W]", (one) =>
    [s(one), v(one), ((one.mV * one.cA) / 1e5).toFixed(5)].join(","),
  ),
  "scale-in-header.csv": table("time ms,volt x100,current [10mA],temp x10 [degC]", ({ ms, mV, cA, dC }) =>
    [ms, (mV / 10).toFixed(1), cA, dC].join(","),
  ),
  "kiloamperes.csv": table("Time [s],Voltage [kV],Current [kA]", (one) =>
    [s(one), (one.mV / 1e6).toFixed(6), (one.cA / 1e5).toFixed(5)].join(","),
  ),
  "taps.csv": table("Time [s],Tap 1 [V],Tap 2 [V],Tap 3 [V],Tap 4 [V],Current [A]", (one) =>
    [s(one), ...[1, 2, 3, 4].map((n) => tap(one, n)), a(one)].join(","),
  ),
  "units-of-one-letter.csv": plain("s,V,A,C", s),
  "cells-russian.csv": table(`Время [с],${[1, 2, 3, 4].map((n) => `Ячейка ${n} [В]`).join(",")},Ток [А]`, (one) =>
    [s(one), ...[1, 2, 3, 4].map(() => (one.mV / 4000).toFixed(5)), a(one)].join(","),
  ),
  "cells-chinese.csv": table(`时间(秒),${[1, 2, 3, 4].map((n) => `电芯${n}电压(V)`).join(",")},放电电流(A)`, (one) =>
    [s(one), ...[1, 2, 3, 4].map(() => (one.mV / 4000).toFixed(5)), a(one)].join(","),
  ),
  "headers-russian.csv": plain("Время [с],Напряжение батареи [В],Ток разряда [А],Температура АКБ [°С]", s),
  "headers-chinese.csv": plain("时间(s),电池电压(V),放电电流(A),电池温度(℃)", s),
  "headers-swedish.csv": plain("Tid [s],Spänning [V],Ström [A],Temperatur [°C]", s),
  "headers-compound.csv": table("t_s;Ubat;Ibat;Tbat [°C]", (one) => [s(one), v(one), a(one), c(one)].join(";")),
  "json-lines.jsonl": text(
    KNOWN_RUN.map((one) => JSON.stringify({ t_s: one.ms / 1000, voltage_V: one.mV / 1000, current_A: one.cA / 100 })),
  ),
  "json-nested-records.json": Buffer.from(JSON.stringify({ run: { bench: 4, samples: records } })),
  "json-lists.json": Buffer.from(
    JSON.stringify([
      ["t [s]", "U [V]", "I [A]"],
      ...KNOWN_RUN.map((one) => [one.ms / 1000, one.mV / 1000, one.cA / 100]),
    ]),
  ),
  "json-names-and-rows.json": Buffer.from(
    JSON.stringify({
      columns: ["time", "voltage", "current"],
      units: ["ms", "mV", "A"],
      data: KNOWN_RUN.map((one) => [one.ms, one.mV, one.cA / 100]),
    }),
  ),
  "one-table.zip": zipSync({ "bench/run.csv": [csv, { mtime: "2026-05-02T09:12:00" }] }),
  "workbook.xlsx": workbookOf([
    ["Bench 4"],
    ["Time [s]", "Voltage [V]", "Current [A]", "Temperature [degC]"],
    ...KNOWN_RUN.map((one, i) => [
      one.ms / 1000,
      one.mV / 1000,
      { formula: `C${i + 1}`, value: one.cA / 100 },
      one.dC / 10,
    ]),
  ]),
  "workbook-with-dates.xlsx": workbookOf([
    ["Timestamp", "Pack voltage", "Pack current"],
    ["", "V", "A"],
    ...KNOWN_RUN.map((one) => [{ date: serial(one) }, one.mV / 1000, one.cA / 100]),
  ]),
};
