import { describe, expect, test } from "@jest/globals";
import { KNOWN_RUN } from "../../../test/support/known-run.js";
import { LogError } from "../table/log-error.js";
import { readLog } from "./read-log.js";

/** The known run with further columns, each with the same text in all of its cells. */
const logWith = (further: Readonly<Record<string, string>>, base = ["time", "voltage", "current"]) => {
  const columns: Readonly<Record<string, readonly [string, (at: number) => string]>> = {
    time: ["Time [s]", (at) => String((KNOWN_RUN[at]?.ms ?? 0) / 1000)],
    voltage: ["Voltage [V]", (at) => String((KNOWN_RUN[at]?.mV ?? 0) / 1000)],
    current: ["Current [A]", (at) => String((KNOWN_RUN[at]?.cA ?? 0) / 100)],
    cell1: ["Cell 1 [V]", (at) => String((KNOWN_RUN[at]?.mV ?? 0) / 4000)],
    cell2: ["Cell 2 [V]", (at) => String((KNOWN_RUN[at]?.mV ?? 0) / 4000)],
  };
  const own = base.flatMap((name) => columns[name] ?? []) as (string | ((at: number) => string))[];
  const heads = own.filter((part) => typeof part === "string");
  const cells = own.filter((part) => typeof part === "function");
  const rows = KNOWN_RUN.map((_, at) => [...cells.map((cell) => cell(at)), ...Object.values(further)].join(","));
  return [Buffer.from([[...heads, ...Object.keys(further)].join(","), ...rows, ""].join("\n"))];
};

const EMPTY = ["", "---", "n/a", "NaN"];
const SPARED = ["Temperature [degC]", "Power [W]", "Capacity [mAh]", "Energy [Wh]", "Cell 3 [V]", "Cell 3"];

describe.each(EMPTY)("a column that holds %j in every row", (cell) => {
  test.each(SPARED)("is no channel as %s, and says so", async (header) => {
    const base = ["time", "voltage", "current", "cell1", "cell2"];
    const { channels, readings } = await readLog(logWith({ [header]: cell }, base), 1 << 20);
    expect(channels.cells).toHaveLength(2);
    expect([channels.temperatures.length, channels.power, channels.charge, channels.energy]).toEqual([
      0,
      null,
      null,
      null,
    ]);
    expect(readings.at(-1)).toMatchObject({ channel: null, reason: "left aside, since no row has a number in it" });
  });

  test.each(["Voltage [V]", "Voltage", "Current [A]", "Current"])("refuses the log as %s", async (header) => {
    const base = ["time", header.startsWith("Voltage") ? "current" : "voltage"];
    const refusal = await readLog(logWith({ [header]: cell }, base), 1 << 20).catch((error: unknown) => error);
    expect(refusal).toBeInstanceOf(LogError);
    const { code, message, places } = refusal as LogError;
    expect([code, places]).toEqual(["log-column-missing", [{ line: 1, column: 3, message: header }]]);
    expect(message).toContain(`"${header}"`);
    expect(message).not.toContain("NaN");
  });

  test("gives way to the cells as the pack's voltage", async () => {
    const { channels } = await readLog(logWith({ Voltage: cell }, ["time", "current", "cell1", "cell2"]), 1 << 20);
    expect([channels.voltage, channels.cells.length]).toEqual([null, 2]);
  });

  test("refuses the log where cells are the only voltages and none reads", async () => {
    const log = logWith({ "Cell 1 [V]": cell, "Cell 2 [V]": cell }, ["time", "current"]);
    await expect(readLog(log, 1 << 20)).rejects.toMatchObject({ code: "log-column-missing" });
  });
});
