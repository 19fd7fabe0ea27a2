import { zipSync } from "fflate";
import { KNOWN_RUN } from "../../../support/known-run.js";
import type { WholeSample } from "../../../support/written-log.js";
import { workbookOf } from "../workbook.js";

type Row = (sample: WholeSample, index: number) => readonly (string | number)[];

const s = ({ ms }: WholeSample) => (ms / 1000).toFixed(1);
const v = ({ mV }: WholeSample) => (mV / 1000).toFixed(3);
const a = ({ cA }: WholeSample) => (cA / 100).toFixed(2);
const c = ({ dC }: WholeSample) => (dC / 10).toFixed(1);
const text = (...lines: readonly (string | readonly string[])[]) => Buffer.from(`${lines.flat().join("\n")}\n`);
const table = (head: string | readonly string[], row: Row, delimiter = ",") =>
  text(
    head,
    KNOWN_RUN.map((one, i) => row(one, i).join(delimiter)),
  );
const three = (head: string) => table(head, (one) => [s(one), v(one), a(one)]);
const four = (head: string) => table(head, (one) => [s(one), v(one), a(one), c(one)]);
const dates = (one: WholeSample, days: readonly string[]) => days[one.ms < 12_000 ? 0 : 1] ?? "";
const sheet = [
  ["Time [s]", "Voltage [V]", "Current [A]"],
  ...KNOWN_RUN.map((one) => [one.ms / 1000, one.mV / 1000, one.cA / 100]),
];
const csv = three("Time [s],Voltage [V],Current [A]");
const records = KNOWN_RUN.map((one) => ({ t_ms: one.ms, U_mV: one.mV, I_A: one.cA / 100 }));
/** The known run twice, a minute apart, and as many seconds of charge between. */
const twice = [0, 1].flatMap((time) =>
  KNOWN_RUN.map((one) => [((one.ms + time * 60_000) / 1000).toFixed(1), v(one), a(one)].join(",")),
);

/** Files that are refused, beside those that were written by hand. */
export const REFUSED_SHAPES: Readonly<Record<string, Uint8Array>> = {
  "phase-current-alone.csv": three("Time [s],Voltage [V],Phase current [A]"),
  "charge-current-alone.csv": three("Time [s],Voltage [V],Ladestrom [A]"),
  "filtered-current-alone.csv": three("Time [s],Voltage [V],Current filtered [A]"),
  "largest-current-alone.csv": three("Time [s],Voltage [V],Imax [A]"),
  "mean-voltage-alone.csv": three("Time [s],Average voltage [V],Current [A]"),
  "voltage-per-cell-alone.csv": table("Time [s],V/cell,Current [A]", (one) => [
    s(one),
    (one.mV / 4000).toFixed(4),
    a(one),
  ]),
  "cutoff-voltage-alone.csv": three("Time [s],Cutoff voltage [V],Current [A]"),
  "open-circuit-voltage-alone.csv": three("Time [s],Leerlaufspannung [V],Current [A]"),
  "unknown-word-for-voltage.csv": three("Time [s],Bus voltage [V],Current [A]"),
  "unknown-word-for-temperature.csv": four("Time [s],Voltage [V],Current [A],Gizmo temperature [degC]"),
  "name-against-unit.csv": three("Time [s],Current [V],Voltage [A]"),
  "unit-against-units-row.csv": table(["Time,Voltage [V],Current", "s,mV,A"], (one) => [s(one), v(one), a(one)]),
  "currents-by-letter.csv": table("Time [s],Voltage [V],Current A,Current B,Current C", (one) => [
    s(one),
    v(one),
    a(one),
    a(one),
    a(one),
  ]),
  "numbered-like-cells.csv": table("Time [s],U1 [V],U2 [V],Current [A]", (one) => [s(one), v(one), v(one), a(one)]),
  "dates-slashed-of-two-days.csv": table("Timestamp,Voltage [V],Current [A]", (one) => [
    `${dates(one, ["05/02/2026", "05/03/2026"])} 23:59:${(30 + one.ms / 1000).toFixed(1).slice(0, 4)}`,
    v(one),
    a(one),
  ]),
  "time-in-hours-or-days.csv": table("Time,Voltage [V],Current [A]", (one) => [
    (0.4 + (one.ms * 12.5) / 86_400_000).toFixed(9),
    v(one),
    a(one),
  ]),
  "decimal-commas-between-commas.csv": table("Time [s],Voltage [V],Current [A]", (one) =>
    [s(one), v(one), a(one)].map((cell) => cell.replace(".", ",")),
  ),
  "comma-inside-later-numbers.csv": table("Time [s],Voltage [mV],Current [mA]", (one) => [
    s(one),
    one.mV,
    String(one.cA * 10).replace(/\B(?=(\d{3})+$)/g, ","),
  ]),
  "header-of-fewer-names.csv": four("Time [s],Voltage [V],Current [A]"),
  "thousands-or-decimals.csv": table(
    "Time [s];Voltage",
    (one, i) => [i + 1, String(one.mV).replace(/\B(?=(\d{3})+$)/g, ",")],
    ";",
  ),
  "scale-of-no-pack.csv": table("Time [s],Voltage [V] x100,Current [A]", (one) => [s(one), v(one), a(one)]),
  "one-cell-that-is-no-number.csv": text(
    "Time [s],Voltage [V],Current [A]",
    "0.0,16.8x7,0.00",
    "0.2,16.8x7,0.00",
    "0.4,16.8x7,0.00",
  ),
  "current-over-range.csv": table("Time [s],Voltage [V],Current [A]", (one) => [
    s(one),
    v(one),
    a({ ...one, cA: Math.min(one.cA, 9200) }),
  ]),
  "tables-of-two-widths.csv": text(
    "Time [min],Voltage [V],Current [A]",
    KNOWN_RUN.slice(0, 12).map((one) => [s(one), v(one), a(one)].join(",")),
    "Time [s],Voltage [V],Current [A],Temperature [degC]",
    KNOWN_RUN.map((one) => [s(one), v(one), a(one), c(one)].join(",")),
  ),
  "two-discharges.csv": text("Time [s],Voltage [V],Current [A]", twice),
  "two-tables.zip": zipSync({
    "first.csv": [csv, { mtime: "2026-05-02T09:12:00" }],
    "second.csv": [csv, { mtime: "2026-05-02T09:12:00" }],
  }),
  "nothing-packed.zip": zipSync({ "notes/": [new Uint8Array(0), { mtime: "2026-05-02T09:12:00" }] }),
  "workbook-of-two-tables.xlsx": workbookOf(sheet.slice(0, 40), sheet.slice(0, 40)),
  "workbook-without-table.xlsx": workbookOf([["Bench 4"], ["The pack was charged."]]),
  "json-of-two-tables.json": Buffer.from(JSON.stringify({ first: records.slice(0, 40), second: records.slice(0, 40) })),
  "json-line-broken.jsonl": text(
    records.slice(0, 40).map((one, i) => (i === 20 ? '{"t_ms": 4000, "U_mV"' : JSON.stringify(one))),
  ),
};
