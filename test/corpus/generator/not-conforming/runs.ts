import type { BenchModel } from "../../../../seed/simulator/bench.js";
import type { DischargePlan } from "../../../../seed/simulator/discharge.js";
import { createPackModel } from "../../../../seed/simulator/pack-model.js";
import type { BenchFacts, PackFacts } from "../../../../src/core/model.js";
import type { Draft } from "./draft.js";

/** A run that conforms to each protocol. Every file of the corpus is one of these, changed in one way. */

export const PACK: PackFacts = {
  chemistry: "lipo",
  series: 4,
  parallel: 1,
  ratedCapacityMah: 5000,
  labelContinuousC: 60,
  labelBurstC: 120,
  massGrams: 545,
};

/** The pack inside: 4 cells of about `capacityAh`, as good or bad as `resistanceMilliohmAh` says. */
export const inside = (capacityAh = 5, resistanceMilliohmAh = 6) =>
  createPackModel({ chemistry: "lipo", series: 4, trueCapacityAh: capacityAh, resistanceMilliohmAh, massGrams: 545 });

const bench: BenchModel = {
  facts: {
    load: { kind: "constant-resistance" },
    voltage: { percent: 0.1, offset: 0.005 },
    current: { percent: 0.3, offset: 0.1 },
    temperature: { offset: 1 },
    sense: { point: "pack" },
  },
  rateHz: 5,
  jitterShare: 0,
  noise: { volts: 0.004, amperes: 0.12, kelvin: 0.05 },
  resolution: { volts: 0.001, amperes: 0.01, kelvin: 0.1 },
  errors: { voltageGain: 0.0002, voltageOffsetV: 0.001, currentGain: -0.0006, temperatureOffsetK: 0.2 },
};

const plan: DischargePlan = {
  pack: inside(),
  demand: { kind: "constant-resistance", level: 0.155, riseSeconds: 0.3 },
  ambientC: 21,
  startC: 22,
  chargeMissingC: 110,
  restSeconds: 4,
  stop: { volts: 13.05, delaySeconds: 0.8, latestSeconds: 1200 },
  afterSeconds: 8,
  stepSeconds: 0.02,
};

const conditions = { ambientC: 21, restMinutes: 30, cycles: 12, setpointA: null };

export const FULL_LOAD: Draft = {
  protocol: { key: "full-load", version: 1 },
  pack: PACK,
  plan,
  bench,
  currentZeroA: 0.15,
  stated: bench.facts,
  conditions,
  columns: ["temperature"],
  decimals: [1, 3, 2],
};

const constant: BenchModel = { ...bench, facts: { ...bench.facts, load: { kind: "constant-current" } } };

/** Instruments for small currents. */
const fine: BenchFacts = {
  ...constant.facts,
  voltage: { percent: 0.05, offset: 0.003 },
  current: { percent: 0.3, offset: 0.01 },
};

export const LADDER_A = 50;
export const LADDER: Draft = {
  ...FULL_LOAD,
  protocol: { key: "current-ladder", version: 1 },
  plan: {
    ...plan,
    demand: { kind: "constant-current", level: LADDER_A, riseSeconds: 0.3 },
    stop: { ...plan.stop, celsius: 60.5 },
  },
  currentZeroA: 0.05,
  bench: { ...constant, rateHz: 2 },
  stated: constant.facts,
  conditions: { ...conditions, setpointA: LADDER_A },
};

/** 1 It of the pack, A. */
export const IT_A = 5;
export const TWO_PULSE: Draft = {
  ...FULL_LOAD,
  protocol: { key: "two-pulse", version: 1 },
  plan: {
    ...plan,
    demand: {
      kind: "constant-current",
      level: 0.2 * IT_A,
      riseSeconds: 0.02,
      steps: [{ fromSeconds: 10, level: IT_A }],
    },
    chargeMissingC: 0.4 * IT_A * 3600,
    stop: { volts: 0, delaySeconds: 0, latestSeconds: 11.3 },
    stepSeconds: 0.005,
  },
  currentZeroA: 0.002,
  stated: fine,
  bench: {
    ...constant,
    facts: fine,
    rateHz: 50,
    noise: { volts: 0.0005, amperes: 0.004, kelvin: 0.05 },
    resolution: { volts: 0.0001, amperes: 0.001, kelvin: 0.1 },
  },
  conditions: { ...conditions, restMinutes: 90, stateOfChargePercent: 60 },
  decimals: [2, 4, 3],
};

/** A worn pack of less than its rated capacity, so that five hours become three. */
export const RATED: Draft = {
  ...FULL_LOAD,
  protocol: { key: "rated-capacity", version: 1 },
  plan: {
    ...plan,
    pack: inside(3.1),
    demand: { kind: "constant-current", level: 0.2 * IT_A, riseSeconds: 0 },
    restSeconds: 40,
    stop: { volts: 11.9, delaySeconds: 10, latestSeconds: 6 * 3600 },
    afterSeconds: 30,
    stepSeconds: 0.5,
  },
  currentZeroA: 0.002,
  stated: fine,
  bench: {
    ...constant,
    facts: fine,
    rateHz: 0.2,
    noise: { volts: 0.002, amperes: 0.003, kelvin: 0.05 },
    resolution: { volts: 0.001, amperes: 0.001, kelvin: 0.1 },
  },
  conditions: { ...conditions, restMinutes: 90 },
  decimals: [0, 2, 2],
};
