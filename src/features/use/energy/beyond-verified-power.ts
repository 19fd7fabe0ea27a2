import type { EnergyOfPackView } from "./energy.views.js";

type Judged = Pick<EnergyOfPackView, "pack" | "cutoffVoltsPerCell" | "verifiedContinuousA" | "points">;

/** What is said of packs at powers that draw more, near the cutoff, than the continuous current that ladders have verified. */
export function beyondVerifiedPower(items: readonly Judged[]): string[] {
  return items.flatMap(({ pack, cutoffVoltsPerCell, verifiedContinuousA, points }) => {
    if (verifiedContinuousA === null) return [];
    const verifiedW = verifiedContinuousA * pack.series * cutoffVoltsPerCell;
    if ((points.at(-1)?.powerW ?? 0) <= verifiedW) return [];
    const [watts, amperes] = [Number(verifiedW.toPrecision(3)), Math.round(verifiedContinuousA)];
    return [
      `${pack.maker} ${pack.name}: above ${watts} W it comes to draw more than the ${amperes} A of continuous current that ladders have verified.`,
    ];
  });
}
