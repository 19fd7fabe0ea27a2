import { describe, expect, test } from "@jest/globals";
import { evaluateText } from "../../../../test/support/evaluated.js";
import { instants } from "../../../../test/support/traces.js";

const time = instants(-10, 125, 10);
const volts = (t: number) => (t < 0 || t > 120 ? 16.7 : 15 - 0.014 * t + 0.03 * Math.sin(7 * t));
const watts = (t: number) => (t < 0 || t > 120 ? 0 : 1000 - t + 20 * Math.sin(5 * t));
/** The instant of the last reading of a meter that reads every so many seconds. */
const asOf = (t: number, seconds: number, phase = 0.32) => Math.floor((t - phase) / seconds) * seconds + phase;
const csv = (header: string, row: (t: number) => readonly number[], at: readonly number[] = [...time]) =>
  [header, ...at.map((t) => [t, ...row(t)].map((value) => value.toFixed(3)).join(","))].join("\n");

describe("readings that a log repeats", () => {
  test("are told of a power from which the current is derived", async () => {
    const text = csv("Time [s],Voltage [V],Power [W]", (t) => [volts(t), watts(asOf(t, 1))]);
    const { trace, adjustments } = await evaluateText(text);
    expect(trace.rateHz).toBeCloseTo(1, 2);
    expect(trace.samples).toBeLessThan(137);
    expect(adjustments.find(({ kind }) => kind === "repeats-left-out")).toMatchObject({
      message: expect.stringMatching(
        /^The log's readings repeat: the meter gives a new current every 1 s, rows come every 0.1 s\. Each reading was taken once; \d+ rows that repeat one were left out\.$/,
      ),
      after: 0,
      unit: "rows",
    });
  });

  test("are told of each channel where both come at instants of their own", async () => {
    const text = csv("Time [s],Voltage [V],Current [A]", (t) => {
      const at = asOf(t, 0.4, 0.11);
      return [volts(at), watts(asOf(t, 2)) / 14];
    });
    const { findings } = await evaluateText(text);
    expect(findings.find(({ rule }) => rule === "sampling-rate")?.message).toContain(
      "a new voltage every 0.4 s and a new current every 2 s, rows come every 0.1 s",
    );
  });

  test("are refused where too few are left, with what to change", async () => {
    const short = [...time].filter((t) => t > -4 && t < 14);
    const text = csv("Time [s],Voltage [V],Current [A]", (t) => [volts(asOf(t, 1)), watts(asOf(t, 1)) / 14], short);
    await expect(evaluateText(text)).rejects.toMatchObject({
      code: "log-too-short",
      message: expect.stringMatching(
        /readings repeat: .* rows hold 1\d readings; at least 20 are needed\. Log each reading once, or set the meter faster\.$/,
      ),
    });
  });
});
