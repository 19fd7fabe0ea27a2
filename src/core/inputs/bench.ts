import type { FactsOf } from "./fact.js";
import type { InputError } from "./input-error.js";

export const LOAD_KINDS = ["throttle", "constant-current", "constant-resistance", "constant-power"] as const;
export type LoadKind = (typeof LOAD_KINDS)[number];

/** Stated accuracy of an instrument: within `percent` % of the reading plus `offset` in the channel's unit. */
export interface Accuracy {
  readonly percent: number;
  readonly offset: number;
}

export const SENSE_POINTS = ["pack", "lead"] as const;

/**
 * Where the voltage is sensed. `pack`: at the pack's own terminals. `lead`: past leads or a connector, whose
 * resistance is declared or follows from the gauge and the one-way length of the pair of leads.
 */
export interface Sense {
  readonly point: (typeof SENSE_POINTS)[number];
  /** Resistance of both conductors together, mohm. */
  readonly resistanceMilliohm?: number | null;
  /** Conductor size, American wire gauge (ASTM B258). */
  readonly gaugeAwg?: number | null;
  /** One-way length of the pair of leads, mm; current flows through twice this length. */
  readonly lengthMm?: number | null;
}

/** A tester's equipment, as far as figures depend on it. */
export interface BenchFacts {
  readonly load: { readonly kind: LoadKind };
  /** Offset in V. */
  readonly voltage: Accuracy;
  /** Offset in A. */
  readonly current: Accuracy;
  /** Offset in K; null when the bench logs no temperature. */
  readonly temperature: { readonly offset: number } | null;
  /** Stated accuracy of the logger's clock, % of the time; 0.1 when left out. */
  readonly clockPercent?: number | null;
  readonly sense: Sense;
}

/** A bench as it is registered. */
export interface DeclaredBench extends BenchFacts {
  readonly label: string;
}

export const LOAD_FACTS = {
  kind: { kind: "choice", description: "What the load holds constant", values: LOAD_KINDS },
} as const satisfies FactsOf<BenchFacts["load"]>;

export const VOLTAGE_ACCURACY_FACTS = {
  percent: { kind: "number", description: "Share of the reading", unit: "%", min: 0, max: 100 },
  offset: { kind: "number", description: "Fixed part", unit: "V", min: 0, max: 1_000 },
} as const satisfies FactsOf<Accuracy>;

export const CURRENT_ACCURACY_FACTS = {
  percent: { kind: "number", description: "Share of the reading", unit: "%", min: 0, max: 100 },
  offset: { kind: "number", description: "Fixed part", unit: "A", min: 0, max: 10_000 },
} as const satisfies FactsOf<Accuracy>;

export const TEMPERATURE_ACCURACY_FACTS = {
  offset: { kind: "number", description: "Fixed part", unit: "K", min: 0, max: 100 },
} as const satisfies FactsOf<NonNullable<BenchFacts["temperature"]>>;

export const SENSE_FACTS = {
  point: {
    kind: "choice",
    description: "At the pack's own terminals, or past leads or a connector",
    values: SENSE_POINTS,
  },
  resistanceMilliohm: {
    kind: "number",
    description: "Resistance of both conductors",
    unit: "mohm",
    min: 0,
    max: 100_000,
    optional: true,
  },
  gaugeAwg: {
    kind: "number",
    description: "Conductor size, American wire gauge (ASTM B258)",
    min: -3,
    max: 40,
    optional: true,
  },
  lengthMm: {
    kind: "number",
    description: "One-way length of the pair of leads",
    unit: "mm",
    above: 0,
    max: 100_000,
    optional: true,
  },
} as const satisfies FactsOf<Sense>;

export const BENCH_FACTS = {
  label: { kind: "text", description: "Its owner's name for it", max: 80 },
  load: { kind: "group", description: "What draws the current", members: LOAD_FACTS },
  voltage: { kind: "group", description: "Accuracy of the voltage", members: VOLTAGE_ACCURACY_FACTS },
  current: { kind: "group", description: "Accuracy of the current", members: CURRENT_ACCURACY_FACTS },
  temperature: {
    kind: "group",
    description: "Accuracy of the temperature, if it is logged",
    members: TEMPERATURE_ACCURACY_FACTS,
    optional: true,
  },
  clockPercent: {
    kind: "number",
    description: "Accuracy of the logger's clock; taken as 0.1 when left out",
    unit: "%",
    min: 0,
    max: 10,
    optional: true,
  },
  sense: { kind: "group", description: "Where the voltage is sensed", members: SENSE_FACTS },
} as const satisfies FactsOf<DeclaredBench>;

/** Voltage sensed past leads is of use only when their resistance is declared or can be computed; null when it is. */
export function leadResistanceProblem(sense: Sense, pointer: string): InputError | null {
  const { point, resistanceMilliohm, gaugeAwg, lengthMm } = sense;
  if (point !== "lead" || resistanceMilliohm != null || (gaugeAwg != null && lengthMm != null)) return null;
  return { pointer, message: "must have resistanceMilliohm, or gaugeAwg and lengthMm, when the point is lead" };
}
