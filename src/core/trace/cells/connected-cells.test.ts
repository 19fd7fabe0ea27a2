import { describe, expect, test } from "@jest/globals";
import { evaluateText } from "../../../../test/support/evaluated.js";
import { KNOWN_RUN } from "../../../../test/support/known-run.js";

/** The known run of four cells with such further cell voltages, each constant. */
function logOf(shares: readonly number[], further: readonly string[], hasVoltage: boolean): string {
  const cells = [...shares.map((_, at) => at + 1), ...further.map((_, at) => shares.length + at + 1)];
  const head = [
    "Time [s]",
    ...(hasVoltage ? ["Voltage [V]"] : []),
    "Current [A]",
    ...cells.map((n) => `Cell ${n} [V]`),
  ];
  const rows = KNOWN_RUN.map(({ ms, mV, cA }) => [
    ms / 1000,
    ...(hasVoltage ? [mV / 1000] : []),
    cA / 100,
    ...shares.map((share) => ((mV * share) / 4000).toFixed(3)),
    ...further,
  ]);
  return `${[head, ...rows].map((row) => row.join(",")).join("\n")}\n`;
}

const findingOf = async (text: string, id: string) =>
  (await evaluateText(text)).findings.find(({ rule }) => rule === id);

describe("inputs for cells that nothing is connected to", () => {
  test.each([true, false])("are left out and said, with the pack's voltage logged: %s", async (hasVoltage) => {
    const text = logOf([1, 1, 1, 1], ["0.000", "0.02"], hasVoltage);
    const { adjustments, findings } = await evaluateText(text);
    expect(adjustments.find(({ kind }) => kind === "cells-not-connected")).toMatchObject({ before: 6, after: 4 });
    const outcomes = findings.filter(({ rule }) => rule.startsWith("cell-")).map(({ outcome }) => outcome);
    expect(outcomes).toEqual(["pass", "pass", "pass"]);
  });

  test("are left out above the highest tap", async () => {
    const taps = logOf([1, 2, 3, 4], ["0.000", "0.000"], false);
    const { adjustments, findings } = await evaluateText(taps);
    expect(adjustments.find(({ kind }) => kind === "cells-from-taps")).toMatchObject({ after: 4 });
    expect(findings.find(({ rule }) => rule === "cell-voltage-plausible")?.outcome).toBe("pass");
  });
});

describe("a cell of the pack at 0 V is seen", () => {
  test.each([
    ["among as many voltages as the pack has cells", [1, 1, 1], ["0.000"]],
    ["beside one open input", [1, 1, 1], ["0.000", "0.000"]],
    ["beside two open inputs", [1, 1, 1], ["0.000", "0.000", "0.000"]],
  ] as const)("%s", async (_, shares, further) => {
    const finding = await findingOf(logOf(shares, further, true), "cell-voltage-plausible");
    expect([finding?.outcome, finding?.observed]).toEqual(["fail", 0]);
  });

  test("where it falls there under load", async () => {
    const text = logOf([1, 1, 1], [], true)
      .trimEnd()
      .split("\n")
      .map((line, at) => `${line},${at === 0 ? "Cell 4 [V],Cell 5 [V]" : at < 60 ? "4.1,0" : "0,0"}`)
      .join("\n");
    expect(await findingOf(`${text}\n`, "cell-voltage-plausible")).toMatchObject({ outcome: "fail", observed: 0 });
  });
});

test("more cells than the pack has, without its voltage, ask for the number of cells", async () => {
  await expect(evaluateText(logOf([1, 1, 1, 1, 1], [], false))).rejects.toThrow(
    "Declare as many cells in series as the pack has",
  );
});
