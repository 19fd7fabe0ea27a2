import type { BenchFacts } from "../../src/core/model.js";
import type { LayoutName } from "../layouts/index.js";
import type { BenchModel } from "../simulator/bench.js";

/** A tester's bench: what its owner registers, how it logs, and its noise. */
export interface ScenarioBench extends Omit<BenchModel, "errors"> {
  readonly label: string;
  readonly layout: LayoutName;
  /** Share of the stated accuracy that the instruments' real errors fill at most. */
  readonly errorShare: number;
  readonly riseSeconds: number;
  /** The log goes on so long after the load, up to half as long again. */
  readonly afterSeconds: number;
}

const pack: BenchFacts["sense"] = { point: "pack" };

export const BENCHES = {
  keelbench: {
    label: "Brake resistors in a water bath",
    facts: {
      load: { kind: "constant-resistance" },
      voltage: { percent: 0.2, offset: 0.005 },
      current: { percent: 0.5, offset: 0.1 },
      temperature: { offset: 1 },
      sense: pack,
    },
    rateHz: 20,
    jitterShare: 0.02,
    noise: { volts: 0.003, amperes: 0.08, kelvin: 0.05 },
    resolution: { volts: 0.001, amperes: 0.01, kelvin: 0.1 },
    layout: "comma",
    errorShare: 0.6,
    riseSeconds: 0.12,
    afterSeconds: 8,
  },
  gravelnotes: {
    label: "Wheel brake, throttle by hand",
    facts: {
      load: { kind: "throttle" },
      voltage: { percent: 0.3, offset: 0.01 },
      current: { percent: 1, offset: 0.2 },
      temperature: { offset: 1.5 },
      sense: { point: "lead", gaugeAwg: 10, lengthMm: 80 },
    },
    rateHz: 10,
    jitterShare: 0.1,
    noise: { volts: 0.006, amperes: 0.25, kelvin: 0.1 },
    resolution: { volts: 0.001, amperes: 0.05, kelvin: 0.5 },
    layout: "semicolon",
    errorShare: 0.6,
    riseSeconds: 0.45,
    afterSeconds: 3,
  },
  tidewatch: {
    label: "Propeller in a test tank",
    facts: {
      load: { kind: "throttle" },
      voltage: { percent: 0.2, offset: 0.01 },
      current: { percent: 1, offset: 0.3 },
      temperature: { offset: 1 },
      sense: pack,
    },
    rateHz: 50,
    jitterShare: 0.05,
    noise: { volts: 0.008, amperes: 0.4, kelvin: 0.05 },
    resolution: { volts: 0.005, amperes: 0.1, kelvin: 0.1 },
    layout: "tab",
    errorShare: 0.5,
    riseSeconds: 0.6,
    afterSeconds: 8,
  },
  hairpin: {
    label: "Electronic load, two in parallel",
    facts: {
      load: { kind: "constant-current" },
      voltage: { percent: 0.1, offset: 0.005 },
      current: { percent: 0.5, offset: 0.1 },
      temperature: { offset: 1 },
      sense: { point: "lead", resistanceMilliohm: 1.2 },
    },
    rateHz: 10,
    jitterShare: 0,
    noise: { volts: 0.002, amperes: 0.05, kelvin: 0.05 },
    resolution: { volts: 0.001, amperes: 0.01, kelvin: 0.1 },
    layout: "pipe",
    errorShare: 0.6,
    riseSeconds: 0.15,
    afterSeconds: 8,
  },
  slipstream: {
    label: "Regulated motor pair",
    facts: {
      load: { kind: "constant-power" },
      voltage: { percent: 0.3, offset: 0.01 },
      current: { percent: 1, offset: 0.2 },
      temperature: { offset: 2 },
      sense: pack,
    },
    rateHz: 25,
    jitterShare: 0.08,
    noise: { volts: 0.004, amperes: 0.15, kelvin: 0.1 },
    resolution: { volts: 0.001, amperes: 0.01, kelvin: 0.1 },
    layout: "quoted",
    errorShare: 0.6,
    riseSeconds: 0.3,
    afterSeconds: 8,
  },
  clipOn: {
    label: "Clip-on meter at the club house",
    facts: {
      load: { kind: "throttle" },
      voltage: { percent: 1, offset: 0.05 },
      current: { percent: 4, offset: 1.5 },
      temperature: null,
      sense: pack,
    },
    rateHz: 10,
    jitterShare: 0.1,
    noise: { volts: 0.01, amperes: 0.5, kelvin: 0.1 },
    resolution: { volts: 0.01, amperes: 0.1, kelvin: 0.1 },
    layout: "comma",
    errorShare: 0.5,
    riseSeconds: 0.5,
    afterSeconds: 8,
  },
  dock: {
    label: "Electronic load on the cooling rail",
    facts: {
      load: { kind: "constant-current" },
      voltage: { percent: 0.05, offset: 0.004 },
      current: { percent: 0.3, offset: 0.05 },
      temperature: { offset: 1 },
      sense: pack,
    },
    rateHz: 5,
    jitterShare: 0.02,
    noise: { volts: 0.002, amperes: 0.01, kelvin: 0.05 },
    resolution: { volts: 0.001, amperes: 0.005, kelvin: 0.1 },
    layout: "comma",
    errorShare: 0.5,
    riseSeconds: 0.1,
    afterSeconds: 8,
  },
  cradle: {
    label: "Small electronic load with a desk meter",
    facts: {
      load: { kind: "constant-current" },
      voltage: { percent: 0.05, offset: 0.002 },
      current: { percent: 0.2, offset: 0.01 },
      temperature: { offset: 1 },
      sense: pack,
    },
    rateHz: 5,
    jitterShare: 0.02,
    noise: { volts: 0.001, amperes: 0.004, kelvin: 0.05 },
    resolution: { volts: 0.0005, amperes: 0.001, kelvin: 0.1 },
    layout: "tab",
    errorShare: 0.5,
    riseSeconds: 0.05,
    afterSeconds: 8,
  },
} as const satisfies Record<string, ScenarioBench>;

export type BenchKey = keyof typeof BENCHES;

/** Handles of the testers, each with the benches it owns. */
export const TESTERS = {
  keelbench: ["keelbench", "dock"],
  gravelnotes: ["gravelnotes"],
  tidewatch: ["tidewatch"],
  hairpin: ["hairpin", "cradle"],
  slipstream: ["slipstream", "clipOn"],
} as const satisfies Record<string, readonly BenchKey[]>;

export type TesterHandle = keyof typeof TESTERS;

export const MODERATORS = ["harbour-marshal", "paddock-marshal"] as const;
