import { describe, expect, test } from "@jest/globals";
import { evaluateText } from "../../../test/support/evaluated.js";
import { FACTS } from "../../../test/support/facts.js";
import { KNOWN_RUN } from "../../../test/support/known-run.js";
import type { LogError } from "../table/log-error.js";
import { readLog } from "./read-log.js";

/** The known run, its temperature from `from` to `to` in such a column. */
const logOf = (header: string, from: number, to: number): string =>
  `Time [s],Voltage [V],Current [A],${header}\n${KNOWN_RUN.map(({ ms, mV, cA }, at) => {
    const temperature = from + ((to - from) * at) / (KNOWN_RUN.length - 1);
    return `${ms / 1000},${mV / 1000},${cA / 100},${temperature.toFixed(1)}`;
  }).join("\n")}\n`;

const read = (text: string, columns = {}) => readLog([Buffer.from(text)], 1 << 20, { columns });

describe("a temperature without a word on its unit", () => {
  test.each([
    ["Temperature", 22, 77, "degC", 77],
    ["Temperatur", 70, 158, "degF", 70],
    ["Pack temp", 295.15, 340, "K", 66.85],
  ])("%s from %d to %d is in %s", async (header, from, to, unit, hottestC) => {
    const { channels, adjustments, readings } = await read(logOf(header, from, to));
    expect(channels.temperatures[0]?.at(-1)).toBeCloseTo(hottestC, 9);
    expect(adjustments).toMatchObject([{ kind: "unit-implied", unit }]);
    expect(readings.at(-1)).toMatchObject({ channel: "temperature", unit });
  });

  test("is held to the limit as one with a unit is", async () => {
    const outcomes = await Promise.all(
      ["Temperature", "Temperature [degC]"].map(async (header) => {
        const { findings } = await evaluateText(logOf(header, 22, 77));
        return findings.find(({ rule }) => rule === "temperature-limit")?.outcome;
      }),
    );
    expect(outcomes).toEqual(["fail", "fail"]);
  });

  test.each([
    ["in two units", 45, 60],
    ["in none, as of a probe that is not connected", 0, 0],
    ["in none, as of tenths", 220, 500],
  ])("is asked about where it is plausible %s; each choice is read", async (_, from, to) => {
    const text = logOf("Temperature", from, to);
    const refusal = (await read(text).catch((error: unknown) => error)) as LogError;
    expect([refusal.code, refusal.places[0]?.column]).toEqual(["log-unit-missing", 4]);
    expect(refusal.message).toContain('{"temperature": null}');
    const candidates = refusal.proposal?.candidates ?? [];
    expect(candidates.map(({ columns }) => columns.temperature)).toEqual([
      { name: "Temperature", unit: "degC" },
      { name: "Temperature", unit: "degF" },
      { name: "Temperature", unit: "K" },
      null,
    ]);
    for (const { columns } of candidates) {
      const { temperatures } = (await read(text, columns)).channels;
      expect(temperatures).toHaveLength(columns.temperature === null ? 0 : 1);
    }
  });

  test("whose unit or qualifier is not known is asked about", async () => {
    await expect(read(logOf("Temperature [zork]", 22, 40))).rejects.toMatchObject({ code: "log-unit-missing" });
    await expect(read(logOf("Blorp temperature", 22, 40))).rejects.toMatchObject({ code: "log-column-ambiguous" });
  });

  test.each(["Motor temperature", "Room temperature"])("is set aside as a %s", async (header) => {
    expect((await read(logOf(header, 22, 40))).channels.temperatures).toEqual([]);
  });

  test("is judged by a protocol as before where the map says that it is none", async () => {
    const { findings } = await evaluateText(logOf("Temperature", 0, 0), { ...FACTS, columns: { temperature: null } });
    expect(findings.find(({ rule }) => rule === "temperature-logged")?.observed).toBe(0);
  });
});
