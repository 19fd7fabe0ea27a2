import { gunzipSync } from "node:zlib";
import { expect, test } from "@jest/globals";
import type { BenchLog } from "../simulator/bench.js";
import { LAYOUTS, type LayoutName } from "./index.js";

const log: BenchLog = {
  timeSeconds: [0.05, 3661.1],
  voltage: [8.4, 7.612],
  current: [0.01, 88.25],
  temperature: [21.5, 22],
  cells: [
    [4.2, 4.2],
    [3.806, 3.806],
  ],
};
const context = {
  startedAt: new Date("2026-03-01T10:00:00.000Z"),
  title: "heat 3",
  resolution: { volts: 0.001, amperes: 0.01, kelvin: 0.1 },
};
const write = (name: LayoutName) => Buffer.from(LAYOUTS[name].write(log, context));

test("comma: units in the header, point as decimal sign", () => {
  expect(write("comma").toString("utf8")).toBe(
    "Time [s],Voltage [V],Current [A],Temperature [degC]\n0.050,8.400,0.01,21.5\n3661.100,7.612,88.25,22.0\n",
  );
});

test("semicolon: Latin-1, decimal commas, thousandths of the units", () => {
  const lines = write("semicolon").toString("latin1").split("\r\n");
  expect(lines[0]).toBe("Prüfstand-Aufzeichnung: heat 3");
  expect(lines.slice(4)).toEqual([
    "Zeit (ms);Spannung (mV);Strom (mA);Temperatur (°C)",
    "50,0;8400;10;21,5",
    "3661100,0;7612;88250;22,0",
    "",
  ]);
});

test("tab: a row of units and clock times; also packed", () => {
  const text = "Time\tPack voltage\tLoad current\tPack temperature\r\nh:m:s\tV\tA\t°C\r\n";
  const rows = "0:00:00.050\t8.400\t0.01\t21.5\r\n1:01:01.100\t7.612\t88.25\t22.0\r\n";
  expect(write("tab").toString("utf8")).toBe(text + rows);
  expect(gunzipSync(write("tabGzip"))).toEqual(write("tab"));
});

test("pipe: instants, negative discharge current, power and charge", () => {
  expect(write("pipe").toString("utf8").split("\n").slice(0, 3)).toEqual([
    "timestamp|U/V|I/A|P/W|Q/mAh|T/degC",
    "2026-03-01T10:00:00.050Z|8.400|-0.01|0.1|0|21.5",
    "2026-03-01T11:01:01.100Z|7.612|-88.25|671.8|44878|22.0",
  ]);
});

test("quoted: UTF-16, cells beside the pack, a summary at the end", () => {
  const bytes = write("quoted");
  expect([bytes[0], bytes[1]]).toEqual([0xff, 0xfe]);
  expect(bytes.toString("utf16le").slice(1).split("\r\n")).toEqual([
    '"Elapsed (s)","Battery voltage (V)","Cell 1 (V)","Cell 2 (V)","Current (A)","Temp (°C)"',
    '"0.050","8.400","4.200","4.200","0.01","21.5"',
    '"3661.100","7.612","3.806","3.806","88.25","22.0"',
    '""',
    '"Summary","heat 3"',
    '"Largest current (A)","88.3"',
    '"Lowest voltage (V)","7.61"',
    "",
  ]);
});
