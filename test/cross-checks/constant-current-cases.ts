import type { BenchModel } from "../../seed/simulator/bench.js";
import { bench, CURRENT, change, type FixtureCase, ordinary, pack4s, secondsOf } from "./fixture-cases.js";

const facts = { ...bench.facts, load: { kind: "constant-current" } } as const;

/** A bench that resolves a hundredth of a volt's fall: what a resistance from two small currents asks for. */
const fineBench: BenchModel = {
  ...bench,
  facts: { ...facts, voltage: { percent: 0.05, offset: 0.003 }, current: { percent: 0.3, offset: 0.01 } },
  rateHz: 50,
  noise: { volts: 0.0005, amperes: 0.004, kelvin: 0.05 },
  resolution: { volts: 0.0001, amperes: 0.001, kelvin: 0.1 },
};

/** 1 A for 10 s, then 5 A for somewhat more than 1 s, from 60 % of the charge. */
const twoPulse: Omit<FixtureCase, "name" | "shows"> = {
  ...ordinary,
  protocol: "two-pulse",
  bench: fineBench,
  currentZeroA: 0.002,
  load: { level: 1, steps: [{ fromSeconds: 10, level: 5 }] },
  missingShare: 0.4,
  run: {
    restSeconds: 5,
    riseSeconds: 0.02,
    startC: 21,
    stop: { volts: 0, delaySeconds: 0, latestSeconds: 11.3 },
    afterSeconds: 3,
  },
  conditions: { restMinutes: 90, stateOfChargePercent: 60 },
};

const stepBench: BenchModel = { ...bench, facts, rateHz: 2 };

/** A step of a ladder to 3.3 V per cell. */
export const step: Omit<FixtureCase, "name" | "shows"> = {
  ...ordinary,
  protocol: "current-ladder",
  bench: stepBench,
  load: { level: 25 },
  stepSeconds: 0.02,
  run: {
    ...ordinary.run,
    startC: 22,
    stop: { volts: 13.1, celsius: 60.3, delaySeconds: 0.8, latestSeconds: 3600 },
  },
  conditions: { setpointA: 25 },
};

const slowBench: BenchModel = {
  ...bench,
  facts: { ...facts, current: { percent: 0.3, offset: 0.01 } },
  rateHz: 0.2,
  noise: { volts: 0.002, amperes: 0.003, kelvin: 0.05 },
  resolution: { volts: 0.001, amperes: 0.001, kelvin: 0.1 },
};

/** Five hours at 1 A to 3.0 V per cell. */
const fiveHours: Omit<FixtureCase, "name" | "shows"> = {
  ...ordinary,
  protocol: "rated-capacity",
  bench: slowBench,
  currentZeroA: 0.002,
  load: { level: 1 },
  stepSeconds: 0.1,
  run: {
    restSeconds: 40,
    riseSeconds: 1,
    startC: 21,
    stop: { volts: 11.9, delaySeconds: 20, latestSeconds: 6 * 3600 },
    afterSeconds: 30,
  },
  conditions: { restMinutes: 90 },
};

/** Logs of the protocols whose load is one current or two. */
export const CONSTANT_CURRENT_CASES: readonly FixtureCase[] = [
  { ...twoPulse, name: "two-pulse-50hz", shows: "two pulses of the length and level asked for" },
  {
    ...twoPulse,
    name: "two-pulse-10hz-lead",
    shows: "two pulses at 10 Hz, sensed past 3 mohm, the current sensor off by 30 mA",
    bench: {
      ...fineBench,
      facts: { ...fineBench.facts, sense: { point: "lead", resistanceMilliohm: 3 } },
      rateHz: 10,
    },
    currentZeroA: 0.03,
  },
  {
    ...twoPulse,
    name: "two-pulse-weak",
    shows: "a second pulse of 4 A that lasts 0.7 s, both pulses taking 0.3 s to rise",
    load: { level: 1, steps: [{ fromSeconds: 10, level: 4 }] },
    run: { ...twoPulse.run, riseSeconds: 0.3, stop: { volts: 0, delaySeconds: 0, latestSeconds: 10.7 } },
  },
  { ...step, name: "ladder-to-cutoff", shows: "a step of 25 A to the cutoff, below 60 degC all the way" },
  {
    ...step,
    name: "ladder-hot",
    shows: "a step of 95 A that reaches 60 degC before the cutoff",
    bench: { ...stepBench, rateHz: 5 },
    load: { level: 95 },
    run: { ...step.run, startC: 30 },
    conditions: { setpointA: 95 },
  },
  {
    ...step,
    name: "ladder-unsteady",
    shows: "a step of 40 A whose current sags by 8 % for 20 s",
    load: { level: 40 },
    conditions: { setpointA: 40 },
    edit: (rows) => change(rows, 100, 120, CURRENT, (amperes) => (0.92 * Number(amperes)).toFixed(2)),
  },
  { ...fiveHours, name: "rated-capacity-5h", shows: "five hours at 0.2 It, one sample every 5 s" },
  {
    ...fiveHours,
    name: "rated-capacity-other-rate",
    shows: "a pack of two Li-ion cells at 0.25 It, stopped at 3.1 V per cell",
    pack: { ...pack4s, chemistry: "liion", series: 2, ratedCapacityMah: 3000, massGrams: 140 },
    load: { level: 0.75 },
    run: { ...fiveHours.run, stop: { volts: 6.2, delaySeconds: 0, latestSeconds: 6 * 3600 } },
    edit: (rows) => rows.filter((_, index) => index !== 800),
  },
  {
    ...fiveHours,
    name: "rated-capacity-gap",
    shows: "five hours at 0.2 It with two minutes missing",
    edit: (rows) => rows.filter((row) => !(secondsOf(row) > 4000 && secondsOf(row) < 4120)),
  },
];
