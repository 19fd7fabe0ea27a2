import type { FactsOf } from "./fact.js";
import type { InputError } from "./input-error.js";

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
  /** What the main leads end in, as the trade calls it. */
  readonly connector?: string | null;
  /** Conductor size of one main lead: by American wire gauge (ASTM B258), or as its cross-section, mm2. */
  readonly leadGaugeAwg?: number | null;
  readonly leadAreaMm2?: number | null;
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
  connector: {
    kind: "text",
    description: "What the main leads end in: the connector's name in the trade, with its size",
    max: 40,
    optional: true,
  },
  leadGaugeAwg: {
    kind: "number",
    description: "Conductor size of one main lead, American wire gauge (ASTM B258); or leadAreaMm2",
    min: -3,
    max: 40,
    optional: true,
  },
  leadAreaMm2: {
    kind: "number",
    description: "Cross-section of one main lead's conductor; or leadGaugeAwg",
    unit: "mm2",
    above: 0,
    max: 1_000,
    optional: true,
  },
} as const satisfies FactsOf<DeclaredPack>;

/** The size of a lead is stated in one way: two would have to agree. Null when it is. */
export function leadSizeProblem(
  { leadGaugeAwg, leadAreaMm2 }: Pick<DeclaredPack, "leadGaugeAwg" | "leadAreaMm2">,
  pointer: string,
): InputError | null {
  if (leadGaugeAwg == null || leadAreaMm2 == null) return null;
  return { pointer: `${pointer}/leadAreaMm2`, message: "must be left out where leadGaugeAwg is given" };
}
