import { describe, expect, it } from "@jest/globals";
import { readLog } from "../../../core/channels/read-log.js";
import type { ColumnMap } from "../../../core/model.js";
import { columnsOfLog } from "../log/log-columns.js";
import type { LogColumns } from "../log/messages.js";
import { type ColumnEdit, channelAt, columnsOf, editMap, factorAt, isDatePart } from "./column-edit.js";

const MAX_CELLS = 1e6;

const bytesOf = (text: string) => [new TextEncoder().encode(text)];

/** A log as text: half a minute of rest and half a minute of load, of a pack of four cells. */
function logOf(headers: readonly string[], cells: (second: number, isLoaded: boolean) => readonly (string | number)[]) {
  const rows = Array.from({ length: 60 }, (_, second) => cells(second, second >= 30).join(","));
  return [headers.join(","), ...rows].join("\n");
}

async function read(text: string, map: ColumnMap = {}) {
  const log = await readLog(bytesOf(text), MAX_CELLS, { columns: map });
  return { log, columns: columnsOfLog(log.head, log.readings, { columns: map, savedMap: null }) };
}

/** How the log reads after an edit, beside how it was read before. */
async function edited(text: string, edit: (columns: LogColumns) => ColumnEdit, map: ColumnMap = {}) {
  const before = await read(text, map);
  const next = editMap(before.columns, edit(before.columns));
  return { before, next, after: await read(text, next) };
}

const SCALED = logOf(["t [ms]", "Pack [V] x100", "I [mA]", "P [kW]", "T1 [degC]", "T2 [degC]"], (second, isLoaded) => {
  const [volts, amps] = isLoaded ? [14.8 - second / 100, 40] : [16.7, 0];
  return [second * 1000, Math.round(volts * 100), amps * 1000, (volts * amps) / 1000, 25, 26 + second / 10];
});

describe("an edit of a column map changes what was edited and nothing else", () => {
  it("keeps scale and unit of every header when another column is ignored", async () => {
    const { before, next, after } = await edited(SCALED, () => ({ kind: "channel", at: 3, channel: null }));
    expect(next).toEqual({ power: null });
    expect(after.log.channels).toEqual({ ...before.log.channels, power: null });
  });

  it("keeps the header's scale when only the unit of its column is changed", async () => {
    const { next, after, before } = await edited(SCALED, () => ({ kind: "unit", at: 1, unit: "V" }));
    expect(next).toEqual({ voltage: { column: 2, unit: "V", factor: 0.01 } });
    expect(after.log.channels.voltage).toEqual(before.log.channels.voltage);
    expect(factorAt(after.columns, 1)).toBe(0.01);
  });

  it("keeps both temperature probes when the sign is stated, and the sign when the unit is", async () => {
    const { next, after, before } = await edited(SCALED, () => ({ kind: "sign", sign: "discharge-positive" }));
    expect(next).toEqual({ current: { column: 3, sign: "discharge-positive" } });
    expect(after.log.channels.temperatures).toHaveLength(2);
    expect(after.log.channels.current).toEqual(before.log.channels.current);
    expect(editMap(after.columns, { kind: "unit", at: 2, unit: "mA" })).toEqual({
      current: { column: 3, sign: "discharge-positive", unit: "mA" },
    });
  });

  it("keeps a time of day together with its date", async () => {
    const headers = ["Date", "Clock", "U [V]", "I [A]", "P [W]"];
    const text = logOf(headers, (second, isLoaded) => {
      const clock = new Date(Date.UTC(2026, 4, 2, 23, 59, 40 + second)).toISOString();
      return [clock.slice(0, 10), clock.slice(11, 19), isLoaded ? 14.8 : 16.7, isLoaded ? 40 : 0, isLoaded ? 592 : 0];
    });
    const { before, after } = await edited(text, () => ({ kind: "channel", at: 4, channel: null }));
    expect(before.columns.readings.map(({ channel }) => channel)).toEqual([
      "time",
      "time",
      "voltage",
      "current",
      "power",
    ]);
    expect([0, 1].map((at) => isDatePart(before.columns, at))).toEqual([true, false]);
    expect(after.log.channels.time).toEqual(before.log.channels.time);
    expect(columnsOf(after.columns, "time")).toEqual([1]);
  });

  it("keeps what the map said of factor, sign and interval", async () => {
    const text = logOf(["volt x100", "I", "Temperature [degC]"], (_, isLoaded) => [
      isLoaded ? 1480 : 1670,
      isLoaded ? -40 : 0,
      25,
    ]);
    const map: ColumnMap = {
      time: { interval: 500, unit: "ms" },
      voltage: { name: "volt x100", unit: "V", factor: 0.01 },
      current: { name: "I", unit: "A", sign: "discharge-negative" },
    };
    const { next, after, before } = await edited(text, () => ({ kind: "channel", at: 2, channel: null }), map);
    expect(next).toEqual({ ...map, temperature: null });
    expect(after.log.channels).toEqual({ ...before.log.channels, temperatures: [] });
    expect(editMap(before.columns, { kind: "unit", at: 0, unit: "mV" })).toEqual({
      ...map,
      voltage: { name: "volt x100", unit: "mV", factor: 0.01 },
    });
    expect(editMap(before.columns, { kind: "factor", at: 0, factor: 0.1 })).toEqual({
      ...map,
      voltage: { name: "volt x100", unit: "V", factor: 0.1 },
    });
  });

  it("moves a channel from one column to another, and leaves the first one ignored", async () => {
    const text = logOf(["t [s]", "Pack [V]", "Input [V]", "I [A]"], (second, isLoaded) => [
      second,
      isLoaded ? 14.8 : 16.7,
      isLoaded ? 14.5 : 16.7,
      isLoaded ? 40 : 0,
    ]);
    const { next, after } = await edited(text, () => ({ kind: "channel", at: 2, channel: "voltage" }), {
      voltage: { column: 2 },
      current: { column: 4, sign: "discharge-positive" },
    });
    expect(next).toEqual({ voltage: { column: 3 }, current: { column: 4, sign: "discharge-positive" } });
    expect(after.columns.readings.map(({ channel }) => channel)).toEqual(["time", null, "voltage", "current"]);
  });

  it("remembers several choices while the log cannot be read yet", () => {
    const columns: LogColumns = {
      headers: ["a", "b", "c"],
      firstCells: ["0", "16.7", "0"],
      readings: [],
      scales: [null, null, null],
      map: {},
      savedMap: null,
    };
    const first = editMap(columns, { kind: "channel", at: 0, channel: "time" });
    const second = editMap({ ...columns, map: first }, { kind: "channel", at: 1, channel: "voltage" });
    const third = editMap({ ...columns, map: second }, { kind: "unit", at: 1, unit: "V" });
    expect(third).toEqual({ time: { column: 1 }, voltage: { column: 2, unit: "V" } });
    expect([0, 1, 2].map((at) => channelAt({ ...columns, map: third }, at))).toEqual(["time", "voltage", null]);
    const interval = editMap({ ...columns, map: third }, { kind: "interval", seconds: 0.1 });
    expect(interval).toEqual({ time: { interval: 0.1 }, voltage: { column: 2, unit: "V" } });
    expect(editMap({ ...columns, map: interval }, { kind: "interval", seconds: null })).toEqual({
      voltage: { column: 2, unit: "V" },
    });
  });

  it("narrows several temperature probes to one only where one of them is ignored", async () => {
    const { next, after } = await edited(SCALED, () => ({ kind: "channel", at: 4, channel: null }));
    expect(next).toEqual({ temperature: { column: 6 } });
    expect(after.log.channels.temperatures).toHaveLength(1);
  });
});
