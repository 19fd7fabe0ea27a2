import type { BenchModel } from "../../seed/simulator/bench.js";
import type { Demand } from "../../seed/simulator/demand.js";
import type { DischargePlan } from "../../seed/simulator/discharge.js";
import type { BenchFacts, PackFacts, RunConditions } from "../../src/core/model.js";

/** One log of the fixtures: a simulated run, how it is measured, and what is then done to its rows. */
export interface FixtureCase {
  readonly name: string;
  /** What the log shows, for people. */
  readonly shows: string;
  readonly pack: PackFacts;
  readonly bench: BenchModel;
  readonly currentZeroA: number;
  /** `full-load` when left out. */
  readonly protocol?: string;
  /** Load resistance as a multiple of V_nom / (20 It), or another load. */
  readonly loadFactor: number;
  readonly load?: Pick<Demand, "level" | "steps">;
  /** Share of the charge that is missing at the start. Default 0.006. */
  readonly missingShare?: number;
  readonly stepSeconds?: number;
  readonly conditions?: Partial<RunConditions>;
  readonly run: Pick<DischargePlan, "restSeconds" | "stop" | "afterSeconds" | "startC"> & {
    readonly riseSeconds: number;
  };
  readonly resistanceMilliohmAh: number;
  readonly edit?: (rows: readonly string[]) => readonly string[];
  /** Which discharge of the log is the run; left out where the log has one. */
  readonly discharge?: number;
  /** The noise-free figures are kept beside the log: under its own load, and under these standard loads, A. */
  readonly truthAt?: readonly number[];
}

export const pack4s: PackFacts = {
  chemistry: "lipo",
  series: 4,
  parallel: 1,
  ratedCapacityMah: 5000,
  labelContinuousC: 60,
  labelBurstC: 120,
  massGrams: 545,
};

const facts: BenchFacts = {
  load: { kind: "throttle" },
  voltage: { percent: 0.1, offset: 0.005 },
  current: { percent: 0.3, offset: 0.1 },
  temperature: { offset: 1 },
  sense: { point: "pack" },
};

export const bench: BenchModel = {
  facts,
  rateHz: 10,
  jitterShare: 0.02,
  noise: { volts: 0.004, amperes: 0.15, kelvin: 0.05 },
  resolution: { volts: 0.001, amperes: 0.01, kelvin: 0.1 },
  errors: { voltageGain: 0.0003, voltageOffsetV: -0.002, currentGain: -0.0008, temperatureOffsetK: 0.4 },
};

export const ordinary: Omit<FixtureCase, "name" | "shows"> = {
  pack: pack4s,
  bench,
  currentZeroA: 0.15,
  loadFactor: 1.1,
  run: {
    restSeconds: 4,
    riseSeconds: 0.3,
    startC: 22,
    stop: { volts: 13, delaySeconds: 0.8, latestSeconds: 600 },
    afterSeconds: 3,
  },
  resistanceMilliohmAh: 6,
};

export const secondsOf = (row: string) => Number(row.split(",")[0]);

/** Changes one field of the rows whose time lies within [from, to]. */
export function change(
  rows: readonly string[],
  from: number,
  to: number,
  field: number,
  by: (value: string) => string,
) {
  return rows.map((row) => {
    if (!(secondsOf(row) >= from && secondsOf(row) <= to)) return row;
    return row
      .split(",")
      .map((value, index) => (index === field ? by(value) : value))
      .join(",");
  });
}

export const [VOLTAGE, CURRENT, TEMPERATURE] = [1, 2, 3];

/** Empty fields, a row twice, rows that step back, and discharge counted as negative. */
function blemish(rows: readonly string[]): readonly string[] {
  const turned = rows.map((row, index) => {
    if (index === 0) return row;
    const fields = row.split(",");
    return fields.with(CURRENT, (-Number(fields[CURRENT])).toFixed(2)).join(",");
  });
  const empty = (from: number, to: number, field: number) => (all: readonly string[]) =>
    change(all, from, to, field, () => "");
  const holes = [empty(30, 30.25, CURRENT), empty(50, 53, TEMPERATURE), empty(0, 0.5, TEMPERATURE)];
  const holed = holes.reduce<readonly string[]>((all, hole) => hole(all), turned);
  return holed.flatMap((row, index) => {
    if (index === 600) return [row, row];
    if (index === 800) return [row, holed[index - 3] as string];
    return [row];
  });
}

/** Spikes at rest and under load, one of them a row of zeros, and a blip of the throttle that the voltage answers. */
function spike(rows: readonly string[]): readonly string[] {
  const spiked = new Map<number, readonly [field: number, by: (value: string) => string][]>([
    [100, [[CURRENT, () => "95.00"]]],
    [700, [[VOLTAGE, () => "30.000"]]],
    [727, [[CURRENT, () => "-327.68"]]],
    [
      2000,
      [
        [VOLTAGE, () => "0.000"],
        [CURRENT, () => "0.00"],
        [TEMPERATURE, () => "0.0"],
      ],
    ],
    [3001, [[TEMPERATURE, () => "85.0"]]],
    [
      4000,
      [
        [CURRENT, (value) => (Number(value) + 30).toFixed(2)],
        [VOLTAGE, (value) => (Number(value) - 0.2).toFixed(3)],
      ],
    ],
  ]);
  return rows.map((row, index) => {
    const fields = row.split(",");
    for (const [field, by] of spiked.get(index) ?? []) fields[field] = by(fields[field] as string);
    return fields.join(",");
  });
}

export const CASES: readonly FixtureCase[] = [
  { ...ordinary, name: "plain-20hz", shows: "an ordinary run to the cutoff at 20 Hz", bench: { ...bench, rateHz: 20 } },
  {
    ...ordinary,
    name: "jitter-25hz",
    shows: "samples up to 45 % of the interval away from the even grid",
    bench: { ...bench, rateHz: 25, jitterShare: 0.45 },
    loadFactor: 0.95,
  },
  {
    ...ordinary,
    name: "lead-awg12",
    shows: "voltage sensed past 120 mm of AWG 12 leads",
    bench: { ...bench, facts: { ...facts, sense: { point: "lead", gaugeAwg: 12, lengthMm: 120 } } },
  },
  {
    ...ordinary,
    name: "lead-declared",
    shows: "voltage sensed past a declared resistance, a pack of two high-voltage cells",
    pack: { ...pack4s, chemistry: "lihv", series: 2, ratedCapacityMah: 3000, massGrams: 170 },
    bench: { ...bench, facts: { ...facts, sense: { point: "lead", resistanceMilliohm: 1.5 } } },
    run: { ...ordinary.run, stop: { volts: 6.7, delaySeconds: 0.8, latestSeconds: 600 } },
  },
  { ...ordinary, name: "current-offset", shows: "a current sensor that reads 1.3 A at rest", currentZeroA: 1.3 },
  {
    ...ordinary,
    name: "current-offset-large",
    shows: "a current sensor that reads 2.6 A at rest, too much to subtract",
    currentZeroA: 2.6,
  },
  {
    ...ordinary,
    name: "ended-early-50hz",
    shows: "the operator took the load off after 55 s",
    bench: { ...bench, rateHz: 50 },
    run: { ...ordinary.run, stop: { volts: 13, delaySeconds: 0, latestSeconds: 55 } },
  },
  {
    ...ordinary,
    name: "starts-loaded",
    shows: "the log begins under load: no rest, no zero, no rise",
    run: { ...ordinary.run, restSeconds: 0 },
    edit: (rows) => rows.filter((row, index) => index === 0 || secondsOf(row) > 2),
  },
  {
    ...ordinary,
    name: "removed-at-cutoff",
    shows: "load taken off some 10 mV per cell above the cutoff",
    run: { ...ordinary.run, stop: { volts: 13.24, delaySeconds: 0, latestSeconds: 600 } },
  },
  {
    ...ordinary,
    name: "short-dip",
    shows: "0.3 s below the cutoff at 90 s, long before the real crossing",
    edit: (rows) => change(rows, 94, 94.3, VOLTAGE, (volts) => (Number(volts) - 2).toFixed(3)),
  },
  {
    ...ordinary,
    name: "log-ends-loaded",
    shows: "the log ends under load above the cutoff",
    edit: (rows) => rows.filter((row, index) => index === 0 || secondsOf(row) < 80),
  },
  {
    ...ordinary,
    name: "load-lost",
    shows: "the load drops out for 1 s at 60 s and comes back",
    edit: (rows) => change(rows, 64, 65, CURRENT, () => "0.05"),
  },
  {
    ...ordinary,
    name: "too-hot",
    shows: "stopped above 60 degC, before the cutoff",
    run: { ...ordinary.run, startC: 34, stop: { volts: 13, delaySeconds: 0, latestSeconds: 155 } },
    resistanceMilliohmAh: 14,
  },
  {
    ...ordinary,
    name: "blemished",
    shows: "empty fields, an exact duplicate, a step back in time, discharge negative",
    edit: blemish,
  },
  {
    ...ordinary,
    name: "truth-4s-10hz",
    shows: "a 10 Hz 4-cell run with its noise-free figures beside it",
    loadFactor: 1.22,
    truthAt: [63, 80, 100],
  },
  {
    ...ordinary,
    name: "spikes",
    shows:
      "single samples of voltage, current and temperature that no pack gives, and a blip of the throttle that one does",
    bench: { ...bench, rateHz: 50 },
    edit: spike,
  },
  {
    ...ordinary,
    name: "spikes-in-a-row",
    shows: "two samples in a row without a voltage, as from a loose sense wire",
    edit: (rows) => change(rows, 40, 40.15, VOLTAGE, () => "0.000"),
  },
];
