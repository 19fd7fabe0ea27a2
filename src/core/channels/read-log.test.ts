import { gzipSync } from "node:zlib";
import { describe, expect, test } from "@jest/globals";
import { type LogChannels, readLog } from "./read-log.js";

const LIMIT = 1 << 20;
const lines = (header: string, row: (i: number) => string, count = 5) =>
  `${[header, ...Array.from({ length: count }, (_, i) => row(i))].join("\n")}\n`;
const read = async (text: string | Buffer): Promise<LogChannels> =>
  (await readLog([Buffer.from(text)], LIMIT)).channels;

describe("a log is read", () => {
  test("in base units", async () => {
    const channels = await read(
      lines("t [ms];U [mV];I [mA];P [kW];Q [mAh];T [degF]", (i) => `${i * 100};16800;5000;0.084;${i};212`),
    );
    expect(channels.time[3]).toBe(0.3);
    expect(channels.voltage?.[3]).toBe(16.8);
    expect(channels.current[3]).toBe(5);
    expect(channels.power?.[3]).toBe(84);
    expect(channels.charge?.[3]).toBe(0.003);
    expect(channels.temperatures[0]?.[3]).toBeCloseTo(100, 12);
  });

  test("with every cell and probe, and no pack voltage where none was logged", async () => {
    const channels = await read(lines("t [s];c1 [V];c2 [V];I [A];T1 [degC];T2 [degC]", (i) => `${i};4.1;4.2;5;20;30`));
    expect(channels.voltage).toBeNull();
    expect(channels.cells.map((cell) => cell[0])).toEqual([4.1, 4.2]);
    expect(channels.temperatures.map((probe) => probe[0])).toEqual([20, 30]);
  });

  test("with its size as uploaded, the number of its rows, and their lines in the log", async () => {
    const text = `Bench 4\n${lines("t [s],U [V],I [A]", (i) => `${i}.5,16.8,5`)}Total,5 rows,\n`;
    const packed = gzipSync(text);
    const log = await readLog([packed], LIMIT);
    expect([log.bytes, log.rows]).toEqual([packed.length, 5]);
    expect([...log.channels.lines]).toEqual([3, 4, 5, 6, 7]);
    expect(log.adjustments).toMatchObject([
      { kind: "lines-passed-over", before: 1, message: expect.stringContaining("in line 8") },
    ]);
  });

  test("with a row past the head that is looked at to find the layout", async () => {
    const log = await readLog([Buffer.from(lines("t [s],U [V],I [A]", (i) => `${i},16.8,5`, 40_000))], LIMIT);
    expect(log.bytes).toBeGreaterThan(1 << 18);
    expect([log.rows, log.channels.time[39_999]]).toEqual([40_000, 39_999]);
  });
});

test.each([
  ["no bytes", ""],
  ["blanks alone", " \r\n\t\n"],
])("a log of %s is refused as empty", async (_, text) => {
  await expect(read(text)).rejects.toMatchObject({ code: "log-empty" });
});
