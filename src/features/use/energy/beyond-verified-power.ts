import { labelCurrentsOf } from "../../../core/plan/label-limit.js";
import type { EnergyOfPackView } from "./energy.views.js";

type Judged = Pick<EnergyOfPackView, "pack" | "cutoffVoltsPerCell" | "verifiedContinuousA" | "points">;

/**
 * What is said of packs at powers that draw more, near the cutoff, than the continuous current that ladders have verified, or that the maker's
 * label allows: the burst one where it names no other.
 */
export function beyondVerifiedPower(items: readonly Judged[]): string[] {
  return items.flatMap(({ pack, cutoffVoltsPerCell, verifiedContinuousA, points }) => {
    const { labelContinuousA, labelBurstA } = labelCurrentsOf(pack);
    const label =
      labelContinuousA === null
        ? ([labelBurstA, "that the maker's label allows in bursts"] as const)
        : ([labelContinuousA, "of continuous current on the maker's label"] as const);
    const limits = [[verifiedContinuousA, "of continuous current that ladders have verified"] as const, label];
    return limits.flatMap(([amperes, which]) => {
      if (amperes === null) return [];
      const watts = amperes * pack.series * cutoffVoltsPerCell;
      if ((points.at(-1)?.powerW ?? 0) <= watts) return [];
      const above = `${pack.maker} ${pack.name}: above ${Number(watts.toPrecision(3))} W it comes to draw more than`;
      return [`${above} the ${Number(amperes.toPrecision(3))} A ${which}.`];
    });
  });
}
