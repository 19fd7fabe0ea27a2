import { describe, expect, test } from "@jest/globals";
import { evaluateText } from "../../test/support/evaluated.js";
import { type ModelPack, pulledBy } from "../../test/support/source-runs.js";
import type { Evaluation } from "./model.js";

const PACK: ModelPack = {
  openCircuitVolts: (charge) => 16.75 - charge / 9000 - 1.5 * Math.exp((charge - 15_000) / 800),
  resistance: { earlyOhm: 0.012, growthOhm: 0.002 },
};
/** The standard load of 100 A for 4 cells: 14.8 V / 100 A. */
const STANDARD_OHM = 0.148;

interface Row {
  readonly t: number;
  readonly volts: number;
  readonly amps: number;
}

/** 10 s of rest, the pack under a resistance to below its cutoff, 2 s after. */
function rowsUnder(ohm: number, rateHz: number): Row[] {
  const { time, voltage, current } = pulledBy(ohm, PACK, 13.1, rateHz);
  const rest = Array.from({ length: 10 * rateHz }, (_, i): Row => ({ t: i / rateHz, volts: 16.75, amps: 0 }));
  const loaded = Array.from(
    time,
    (t, i): Row => ({ t: 10 + t, volts: voltage[i] as number, amps: current[i] as number }),
  );
  return [...rest, ...loaded];
}

const csv = (rows: readonly Row[], timeHeader = "Time [s]", time = (t: number) => t.toFixed(3)) =>
  Buffer.from(
    [
      `${timeHeader},Voltage [V],Current [A]`,
      ...rows.map((row) => `${time(row.t)},${row.volts.toFixed(3)},${row.amps.toFixed(2)}`),
    ].join("\n"),
  );

const failedRules = ({ findings }: Evaluation) =>
  findings.filter(({ severity, outcome }) => severity === "required" && outcome === "fail").map(({ rule }) => rule);
const figure = ({ figures }: Evaluation, key: string, load: number | null = null) =>
  figures.find((one) => one.key === key && one.load === load);

describe("an honest log conforms", () => {
  const clock = (t: number) => `${String(Math.floor(t / 60)).padStart(2, "0")}:${(t % 60).toFixed(3).padStart(6, "0")}`;
  test.each([
    ["seconds", "Time [s]", (t: number) => t.toFixed(1)],
    ["milliseconds", "Time [ms]", (t: number) => (1000 * t).toFixed(0)],
    ["h:m:s", "Time", (t: number) => `00:${clock(t)}`],
    ["ISO 8601", "Time", (t: number) => new Date(1.78e12 + 1000 * t).toISOString()],
  ])("at the 5 Hz that the protocol asks for, with its times as %s", async (_, header, time) => {
    const evaluation = await evaluateText(csv(rowsUnder(0.15, 5), header, time));
    expect(failedRules(evaluation)).toEqual([]);
    expect(evaluation.trace.rateHz).toBeCloseTo(5, 3);
  });

  test("after a short spin-up before the run", async () => {
    const plain = await evaluateText(csv(rowsUnder(0.15, 10)));
    const blip = rowsUnder(0.15, 10).map((row) =>
      row.t >= 2 && row.t < 2.3 ? { ...row, amps: 60, volts: 16.1 } : row,
    );
    const evaluation = await evaluateText(csv(blip));
    expect(failedRules(evaluation)).toEqual([]);
    expect(figure(evaluation, "power-10s")?.value).toBeCloseTo(figure(plain, "power-10s")?.value as number, 9);
  });

  test("with one spiked current, before the run or in it", async () => {
    for (const at of [3, 60]) {
      const spiked = rowsUnder(0.15, 10).map((row) => (row.t === at ? { ...row, amps: 5000 } : row));
      expect(failedRules(await evaluateText(csv(spiked)))).toEqual([]);
    }
  });

  test("when the load was removed at the cutoff and the current was caught on its way down", async () => {
    const rows = rowsUnder(0.15, 10).filter(({ t, volts, amps }) => t < 20 || amps === 0 || volts > 13.25);
    const last = rows.findLastIndex(({ amps }) => amps > 0);
    const { t, amps } = rows[last] as Row;
    const falling = rows.toSpliced(last + 1, 0, { t: t + 0.05, volts: 14.0, amps: amps / 2 });
    const evaluation = await evaluateText(csv(falling));
    expect(failedRules(evaluation)).toEqual([]);
    const whole = figure(await evaluateText(csv(rowsUnder(0.15, 10))), "capacity");
    const removed = figure(evaluation, "capacity");
    const error = Math.abs((removed?.value as number) - (whole?.value as number));
    expect(error).toBeLessThanOrEqual(2 * (removed?.uncertainty as number));
  });
});

describe("a log that is not honest, or not a full load, does not conform", () => {
  test("when the load was eased after the mark at 10 s", async () => {
    const eased = rowsUnder(0.15, 10).map((row) => (row.t > 25 && row.amps > 0 ? { ...row, amps: row.amps / 4 } : row));
    expect(failedRules(await evaluateText(csv(eased)))).toContain("load-held");
  });

  test("when every fifth row lost its time", async () => {
    const lines = csv(rowsUnder(0.15, 10)).toString().split("\n");
    const lost = lines.map((line, i) => (i > 0 && i % 5 === 0 ? line.replace(/^[^,]*/, "--") : line));
    const evaluation = await evaluateText(Buffer.from(lost.join("\n")));
    expect(failedRules(evaluation)).toContain("rows-usable");
    expect(evaluation.findings.find(({ rule }) => rule === "rows-usable")?.message).toContain("line 6 of the log");
  });
});

test("a C-rate is no temperature", async () => {
  const lines = csv(rowsUnder(0.15, 10)).toString().split("\n");
  const rated = lines.map((line, i) => (i === 0 ? `${line},Discharge rate [C]` : `${line},19.8`));
  const evaluation = await evaluateText(Buffer.from(rated.join("\n")));
  expect(evaluation.log.columns.map(({ channel }) => channel)).toEqual(["time", "voltage", "current", null]);
});

test("a run at the edge of the translation's range is as uncertain as one inside it", async () => {
  const uncertaintyAt = async (ratio: number) =>
    figure(await evaluateText(csv(rowsUnder(STANDARD_OHM * ratio, 10))), "power-10s", 100);
  const inside = await uncertaintyAt(1.3);
  const edges = await Promise.all([1.42, 1.43, 1.44, 1.45, 1.46, 1.47].map(uncertaintyAt));
  const known = edges.filter((one) => one !== undefined);
  expect(known.length).toBeGreaterThan(0);
  for (const { uncertainty } of known) expect(uncertainty).toBeGreaterThan(inside?.uncertainty as number);
});

test("numbers that no clock or sensor gives are left out, and the result is finite", async () => {
  const rows = rowsUnder(0.15, 10);
  const crowded = Array.from({ length: 200 }, (_, i) => `${i}e-300,16.75,0`);
  const lines = csv(rows).toString().split("\n");
  const evaluation = await evaluateText(
    Buffer.from([lines[0], ...crowded, "0.05,1e200,1e200", ...lines.slice(2)].join("\n")),
  );
  expect(JSON.stringify(evaluation)).not.toMatch(/:null,"(unit|durationS)"/);
  expect(Number.isFinite(evaluation.trace.rateHz)).toBe(true);
  expect(failedRules(evaluation)).toContain("time-rises");
});
