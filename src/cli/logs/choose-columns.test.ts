import { PassThrough } from "node:stream";
import type { ReadStream } from "node:tty";
import { describe, expect, it } from "@jest/globals";
import { candidateLines, pressedKey } from "./choose-columns.js";

describe("a key at the terminal", () => {
  it("is taken without Enter, and the terminal is as before after it", async () => {
    const modes: boolean[] = [];
    const terminal = Object.assign(new PassThrough(), { setRawMode: (raw: boolean) => modes.push(raw) });
    const key = pressedKey(terminal as unknown as ReadStream);
    terminal.write("2");
    expect([await key, modes, terminal.isPaused()]).toEqual(["2", [true, false], true]);
  });

  it("is none when the terminal is gone", async () => {
    const terminal = Object.assign(new PassThrough(), { setRawMode: () => undefined });
    const key = pressedKey(terminal as unknown as ReadStream);
    terminal.end();
    expect(await key).toBe("");
  });
});

it("a candidate is shown by the channel and all that is said of its column", () => {
  const lines = candidateLines([
    { channel: "time", columns: { time: { interval: 0.1 } } },
    { channel: "current", columns: { current: { column: 3, unit: "mA", factor: 10, sign: "discharge-negative" } } },
    { channel: "voltage", columns: { voltage: "U" } },
    { channel: "temperature", columns: { voltage: "U", temperature: null } },
  ]);
  expect(lines).toEqual([
    "    1  time: a row every 0.1 s",
    "    2  current: column 3, in mA, times 10, with negative numbers for a discharge",
    '    3  voltage: column "U"',
    "    4  temperature: no column",
  ]);
});
