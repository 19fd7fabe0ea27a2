import { describe, expect, it } from "@jest/globals";
import { readUse } from "./read-use.js";
import type { UseStep } from "./use.js";
import type { LogDemand } from "./use-of-log.js";

/** A pack of 0.02 ohm and 16 V, whose loads last so many tenths of a second; the sensor counts discharge as negative and reads 0.2 A at rest. */
const LOADS = [
  [30, 0],
  [200, 40],
  [100, 0],
  [300, 60],
  [20, 0],
] as const;
const OFFSET_A = 0.2;
const rows = LOADS.flatMap(([samples, amperes]) => Array.from({ length: samples }, () => amperes)).map(
  (amperes, i) => [(i / 10).toFixed(1), (16 - 0.02 * amperes).toFixed(3), (-amperes - OFFSET_A).toFixed(2)] as const,
);
const DOT = `time [s],voltage [V],current [A]\n${rows.map((row) => row.join(",")).join("\n")}\n`;
const COMMA = `Zeit [s];Spannung [V];Strom [mA]\n${rows
  .map(([t, v, i]) => [t, v, (1000 * Number(i)).toFixed(1)].map((cell) => cell.replace(".", ",")).join(";"))
  .join("\n")}\n`;

async function* bytesOf(text: string) {
  yield new TextEncoder().encode(text);
}
const read = (text: string, demand: LogDemand = "current") => readUse(bytesOf(text), {}, demand);
const drawn = (steps: readonly UseStep[]) =>
  steps.reduce((sum, { seconds, currentA, powerW }) => sum + seconds * (currentA ?? powerW ?? 0), 0);

describe("a log with two loads", () => {
  // Every sample stands for a tenth of a second by the trapezoidal rule: 20 s of 40 A and 30 s of 60 A are 2600 As, by hand.
  it.each([
    ["points and amperes", DOT],
    ["commas and milliamperes", COMMA],
  ])("gives its charge, with the rest between, written with %s", async (_, text) => {
    const { steps, log, adjustments } = await read(text);
    expect(Math.abs(drawn(steps) - (20 * 40 + 30 * 60))).toBeLessThan(0.05);
    const seconds = steps.reduce((sum, step) => sum + step.seconds, 0);
    expect(Math.abs(seconds - 60)).toBeLessThan(0.6);
    const long = steps.filter((step) => step.seconds > 5).map(({ currentA }) => Math.round(currentA as number));
    expect(long).toEqual([40, 0, 60]);
    expect(log).toMatchObject({
      rows: 650,
      columns: [{ channel: "time" }, { channel: "voltage" }, { channel: "current" }],
    });
    expect(adjustments.map(({ kind }) => kind)).toEqual(["current-turned", "current-zeroed"]);
  });

  // 20 s of 40 A at 15.2 V and 30 s of 60 A at 14.8 V, by hand. At the four edges the product of two straight lines is not straight: some Ws.
  it("gives its energy where the power is asked for", async () => {
    const { steps } = await read(DOT, "power");
    expect(steps.every(({ currentA }) => currentA === undefined)).toBe(true);
    expect(Math.abs(drawn(steps) / (20 * 40 * 15.2 + 30 * 60 * 14.8) - 1)).toBeLessThan(1e-3);
  });
});

it.each([
  ["log-column-missing", "time [s],voltage [V]\n0,16\n1,16\n2,16\n"],
  [
    "log-no-load",
    `time [s],voltage [V],current [A]\n${Array.from({ length: 50 }, (_, i) => `${i},16,0`).join("\n")}\n`,
  ],
  ["log-empty", ""],
])("is %s where there is nothing to make a use of", async (code, text) => {
  await expect(read(text)).rejects.toMatchObject({ code });
});

it("is log-no-load for a power where the voltage reads nothing", async () => {
  const text = `time [s],voltage [V],current [A]\n${Array.from({ length: 50 }, (_, i) => `${i},0,${i > 5 ? 20 : 0}`).join("\n")}\n`;
  const maps = { columns: { current: { name: "current [A]", sign: "discharge-positive" } } } as const;
  await expect(readUse(bytesOf(text), maps, "power")).rejects.toMatchObject({ code: "log-no-load" });
  expect((await readUse(bytesOf(text), maps, "current")).steps).not.toEqual([]);
});
