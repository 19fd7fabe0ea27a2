import { describe, expect, test } from "@jest/globals";
import { evaluateText } from "../../../test/support/evaluated.js";
import { KNOWN_RUN } from "../../../test/support/known-run.js";

const ROWS = KNOWN_RUN.map(({ ms, mV, cA }) => [ms / 1000, mV / 1000, cA / 100]);
const logOf = (rows: readonly (readonly (number | string)[])[]) =>
  `Time [s],Voltage [V],Current [A]\n${rows.map((row) => row.join(",")).join("\n")}\n`;

describe("a log of which hardly a row can be used is refused with the cause", () => {
  test.each([
    ["the newest first", [...ROWS].reverse(), "The rows run backwards in time, the newest first."],
    [
      "voltage and current in rows of their own, at no regular times",
      ROWS.map(([time = 0, volts = 0, amperes = 0], at) =>
        (at * at) % 7 < 3 ? [time, volts, ""] : [time, "", amperes],
      ),
      "86 rows have a voltage alone, 34 a current alone.",
    ],
    ["a few rows", ROWS.slice(0, 12), "Log the whole discharge, several times a second."],
  ] as const)("%s", async (_, rows, cause) => {
    await expect(evaluateText(logOf(rows))).rejects.toMatchObject({
      code: "log-too-short",
      message: expect.stringContaining(cause),
    });
  });
});
