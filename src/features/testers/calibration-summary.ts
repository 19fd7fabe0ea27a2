import type { Calibration } from "../../core/record/calibration.js";

/** A calibration in one sentence. */
export function summaryOf({ quantity, biasPercent, expandedUncertaintyPercent, packs, others }: Calibration): string {
  const bias = Math.abs(biasPercent).toFixed(1);
  const uncertainty = `+- ${expandedUncertaintyPercent.toFixed(1)} %`;
  const side = biasPercent > 0 ? "high" : "low";
  const reads = bias === "0.0" ? `the same within ${uncertainty}` : `${bias} ${uncertainty} ${side}`;
  const against = `${packs} ${packs === 1 ? "pack" : "packs"} measured by ${others} ${others === 1 ? "other" : "others"}`;
  return `Your ${quantity} reads ${reads} against ${against}.`;
}
