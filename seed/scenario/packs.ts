import type { PackFacts } from "../../src/core/model.js";

/** A pack of the invented league. All makers and names are made up. */
export interface ScenarioPack extends PackFacts {
  readonly maker: string;
  readonly name: string;
  readonly massGrams: number;
  readonly connector?: string;
  readonly leadGaugeAwg?: number;
  readonly leadAreaMm2?: number;
  /** Charge between full and empty as a share of the label. */
  readonly trueCapacityShare: number;
  /** See `CellPackSpec.resistanceMilliohmAh`. */
  readonly resistanceMilliohmAh: number;
}

const lipo = { chemistry: "lipo", parallel: 1 } as const;
const lihv = { chemistry: "lihv", parallel: 1 } as const;
const label = (labelContinuousC: number, labelBurstC: number) => ({ labelContinuousC, labelBurstC });
const inside = (trueCapacityShare: number, resistanceMilliohmAh: number) => ({
  trueCapacityShare,
  resistanceMilliohmAh,
});
const size = (series: number, ratedCapacityMah: number, massGrams: number) => ({
  series,
  ratedCapacityMah,
  massGrams,
});

export const PACKS = {
  regatta: {
    maker: "Quillamber",
    name: "Regatta",
    ...lipo,
    ...size(4, 5000, 548),
    ...label(60, 120),
    ...inside(1.02, 5.2),
    connector: "5 mm bullet",
    leadGaugeAwg: 10,
  },
  ridge: {
    maker: "Mirrelund",
    name: "Ridge",
    ...lipo,
    ...size(4, 5000, 539),
    ...label(70, 140),
    ...inside(1.015, 5.35),
    connector: "5 mm bullet",
    leadAreaMm2: 6,
  },
  breakwater: {
    maker: "Tovrenol",
    name: "Breakwater",
    ...lipo,
    ...size(4, 5000, 531),
    ...label(50, 100),
    ...inside(0.98, 6.9),
  },
  slipway: {
    maker: "Bracknoor",
    name: "Slipway",
    ...lipo,
    ...size(4, 5200, 545),
    ...label(100, 200),
    ...inside(0.93, 8.4),
  },
  sprint: {
    maker: "Quillamber",
    name: "Sprint",
    ...lipo,
    ...size(3, 1300, 112),
    ...label(75, 150),
    ...inside(1.01, 5.6),
  },
  gravel: { maker: "Tovrenol", name: "Gravel", ...lipo, ...size(3, 2200, 184), ...label(45, 90), ...inside(1.0, 6.6) },
  stage: { maker: "Ossivard", name: "Stage", ...lipo, ...size(3, 2200, 181), ...label(60, 120), ...inside(0.965, 7.8) },
  rally: { maker: "Bracknoor", name: "Rally", ...lipo, ...size(2, 3300, 182), ...label(50, 100), ...inside(0.99, 7.1) },
  apex: {
    maker: "Mirrelund",
    name: "Apex HV",
    ...lihv,
    ...size(2, 6000, 331),
    ...label(80, 160),
    ...inside(1.01, 5.5),
  },
  crest: {
    maker: "Ossivard",
    name: "Crest HV",
    ...lihv,
    ...size(2, 5600, 309),
    ...label(100, 200),
    ...inside(0.96, 7.2),
  },
  hull: { maker: "Quillamber", name: "Hull", ...lipo, ...size(6, 4500, 742), ...label(60, 120), ...inside(1.015, 5.3) },
  keel: { maker: "Tovrenol", name: "Keel", ...lipo, ...size(6, 4500, 728), ...label(50, 100), ...inside(0.985, 6.7) },
  anvil: {
    maker: "Mirrelund",
    name: "Anvil",
    chemistry: "lifepo4",
    parallel: 1,
    ...size(3, 2500, 228),
    ...label(30, 60),
    ...inside(1.01, 6.4),
  },
  drum: {
    maker: "Ossivard",
    name: "Drum",
    chemistry: "liion",
    parallel: 2,
    ...size(3, 3000, 291),
    ...label(25, 35),
    ...inside(1.0, 6.8),
  },
} as const satisfies Record<string, ScenarioPack>;

export type PackKey = keyof typeof PACKS;
