import type { FactsOf } from "./fact.js";

export const CHEMISTRIES = ["lipo", "lihv", "liion", "lifepo4"] as const;
export type Chemistry = (typeof CHEMISTRIES)[number];

/** What a pack's label and scale say, as far as figures depend on it. */
export interface PackFacts {
  readonly chemistry: Chemistry;
  /** Cells in series, S. */
  readonly series: number;
  /** Strings in parallel, P. */
  readonly parallel: number;
  /** Rated capacity, mAh; the same number in A for mAh / 1000 is 1 It (IEC 61960-3). */
  readonly ratedCapacityMah: number;
  /** Continuous C-rate on the label, C. */
  readonly labelContinuousC: number | null;
  /** Burst C-rate on the label, C. */
  readonly labelBurstC: number | null;
  /** Mass with leads and connector, g. */
  readonly massGrams: number | null;
}

/** A marketed pack as it is registered. */
export interface DeclaredPack extends PackFacts {
  readonly maker: string;
  readonly name: string;
}

export const PACK_FACTS = {
  maker: { kind: "text", description: "Who makes or sells it", max: 80 },
  name: { kind: "text", description: "What it is sold as", max: 120 },
  chemistry: { kind: "choice", description: "Cell chemistry", values: CHEMISTRIES },
  series: { kind: "integer", description: "Cells in series, S", min: 1, max: 100 },
  parallel: { kind: "integer", description: "Strings in parallel, P", min: 1, max: 100 },
  ratedCapacityMah: { kind: "number", description: "Rated capacity", unit: "mAh", min: 1, max: 10_000_000 },
  labelContinuousC: {
    kind: "number",
    description: "Continuous C-rate on the label",
    unit: "C",
    above: 0,
    max: 10_000,
    optional: true,
  },
  labelBurstC: {
    kind: "number",
    description: "Burst C-rate on the label",
    unit: "C",
    above: 0,
    max: 10_000,
    optional: true,
  },
  massGrams: {
    kind: "number",
    description: "Mass with leads and connector",
    unit: "g",
    min: 0.1,
    max: 10_000_000,
    optional: true,
  },
} as const satisfies FactsOf<DeclaredPack>;
