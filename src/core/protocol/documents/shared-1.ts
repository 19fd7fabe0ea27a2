import type { CellVolts, RuleSetting } from "../document.js";

/**
 * Parts that the first versions of several protocols share. They never change: a later version that needs another limit
 * states its own.
 */
type CellsWithoutCutoff = Record<"lipo" | "lihv" | "liion" | "lifepo4", Omit<CellVolts, "cutoff">>;

/** Common practice, no published source. */
export const CELLS_1: CellsWithoutCutoff = {
  lipo: { nominal: 3.7, full: 4.2, settled: 4.2, lowest: 2.5, highest: 4.25 },
  lihv: { nominal: 3.8, full: 4.35, settled: 4.35, lowest: 2.5, highest: 4.4 },
  liion: { nominal: 3.6, full: 4.2, settled: 4.2, lowest: 2, highest: 4.25 },
  lifepo4: { nominal: 3.2, full: 3.65, settled: 3.36, lowest: 1.8, highest: 3.75 },
};

/** Rest voltage of a full cell; one of LiFePO4 settles near 3.36 V within minutes, so that its voltage says little (common practice). */
export const FULL_CHARGE_1: RuleSetting = {
  rule: "full-charge",
  severity: "required",
  limit: { below: 0.05, above: 0.03, lifepo4Minimum: 3.32, lifepo4Maximum: 3.68 },
  unit: "V",
};

/** The recovery tells the resistance at the end of the run. */
export const RECOVERY_1: RuleSetting = {
  rule: "recovery-logged",
  severity: "advised",
  limit: { minimum: 6 },
  unit: "s",
};

/** Whether the log is a whole and orderly record of the channels. */
export const ORDERLY_LOG_1: readonly RuleSetting[] = [
  { rule: "time-rises", severity: "required", limit: { maximum: 0 }, unit: "rows" },
  { rule: "rows-usable", severity: "required", limit: { minimum: 99 }, unit: "%" },
  { rule: "spikes", severity: "required", limit: { maximum: 0 }, unit: "samples" },
  { rule: "duplicate-rows", severity: "corrected", limit: { maximum: 0 }, unit: "rows" },
  { rule: "discharge-sign", severity: "corrected", limit: { minimum: 0 }, unit: "A" },
];

/** Whether voltage and current are what the pack's terminals saw. */
export const SENSORS_1: readonly RuleSetting[] = [
  { rule: "current-zero", severity: "required", limit: { maximumPercent: 2 }, unit: "A", onlyWhenLogged: true },
  { rule: "current-offset", severity: "corrected", limit: { maximumPercent: 0.5 }, unit: "A" },
  { rule: "sense-known", severity: "required", limit: { maximumPercent: 5 }, unit: "%" },
  { rule: "sense-at-pack", severity: "corrected", limit: { maximum: 0 }, unit: "mohm" },
];

/** Whether the numbers can be those of such a pack at all, and agree with one another. */
export const PLAUSIBLE_LOG_1: readonly RuleSetting[] = [
  { rule: "voltage-plausible", severity: "required", limit: { tolerance: 0.05 }, unit: "V" },
  { rule: "cell-voltage-plausible", severity: "required", limit: { tolerance: 0.05 }, unit: "V", onlyWhenLogged: true },
  { rule: "power-agrees", severity: "required", limit: { maximumPercent: 3 }, unit: "%", onlyWhenLogged: true },
  { rule: "charge-agrees", severity: "required", limit: { maximumPercent: 5 }, unit: "%", onlyWhenLogged: true },
  { rule: "repeated-stretch", severity: "required", limit: { maximum: 0, fewestChanges: 120 }, unit: "samples" },
  { rule: "noise-floor", severity: "required", limit: { maximumPercent: 20, leastPpm: 0.01 }, unit: "%" },
  { rule: "start-above-ambient", severity: "advised", limit: { maximum: 8 }, unit: "K" },
  {
    rule: "cell-spread-at-rest",
    severity: "advised",
    limit: { lipo: 0.03, lihv: 0.03, liion: 0.03, lifepo4: 0.15 },
    unit: "V",
  },
  { rule: "cell-spread", severity: "advised", limit: { maximum: 0.1 }, unit: "V" },
  { rule: "energy-agrees", severity: "required", limit: { maximumPercent: 6 }, unit: "%", onlyWhenLogged: true },
];

/** The most energy per mass that packs of each chemistry hold (common practice). */
export const SPECIFIC_ENERGY_1: RuleSetting = {
  rule: "specific-energy-plausible",
  severity: "required",
  limit: { lipo: 230, lihv: 240, liion: 280, lifepo4: 170 },
  unit: "Wh/kg",
  onlyWhenLogged: true,
};

/** The cells of a protocol with its cutoffs in V per cell. */
export function cellsWithCutoff(
  cutoffs: Record<keyof CellsWithoutCutoff, number | null>,
): Record<keyof CellsWithoutCutoff, CellVolts> {
  const { lipo, lihv, liion, lifepo4 } = CELLS_1;
  return {
    lipo: { ...lipo, cutoff: cutoffs.lipo },
    lihv: { ...lihv, cutoff: cutoffs.lihv },
    liion: { ...liion, cutoff: cutoffs.liion },
    lifepo4: { ...lifepo4, cutoff: cutoffs.lifepo4 },
  };
}
