import { describe, expect, it } from "@jest/globals";
import type { LogDemand } from "./log-demand.js";
import { readUse } from "./read-use.js";
import type { UseStep } from "./use.js";

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

describe("remarks on a use", () => {
  const text = (amperes: (i: number) => number, when = (i: number) => i / 10) =>
    `time [s],voltage [V],current [A]\n${Array.from({ length: 600 }, (_, i) => {
      const drawn = amperes(i);
      return `${when(i).toFixed(1)},${(16 - 0.02 * Math.min(drawn, 40)).toFixed(3)},${drawn.toFixed(2)}`;
    }).join("\n")}\n`;
  const loaded = (i: number) => (i < 50 || i >= 550 ? 0 : 40);
  const kinds = async (log: string) => (await read(log)).remarks.map(({ kind }) => kind);

  it("are none of a log that shows all", async () => {
    expect(await kinds(text(loaded))).toEqual([]);
  });

  it("tell of spikes that were not repaired, with their line", async () => {
    const log = text((i) => (i === 200 || i === 201 ? 110 : loaded(i)));
    expect((await read(log)).remarks).toEqual([
      { kind: "spikes-left", message: expect.stringMatching(/^2 samples .* in line 202\./) },
    ]);
  });

  it("tell of gaps", async () => {
    expect(await kinds(text(loaded, (i) => i / 10 + (i > 300 ? 25 : 0)))).toEqual(["gaps-bridged"]);
  });
});

// I = P / V (Ohm's law and the definition of power), 600 W at 15 V.
it("says where the current was derived from a logged power", async () => {
  const rows = Array.from({ length: 300 }, (_, i) => `${i / 10},${i < 50 ? 16 : 15},${i < 50 ? 0 : 600}`);
  const { steps, adjustments } = await read(`time [s],voltage [V],power [W]\n${rows.join("\n")}\n`);
  expect(adjustments.map(({ kind }) => kind)).toContain("current-derived");
  expect(Math.max(...steps.map(({ currentA }) => currentA as number))).toBeCloseTo(40, 3);
});
