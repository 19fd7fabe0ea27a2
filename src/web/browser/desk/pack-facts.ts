import type { View } from "../service/view.js";

/** What a pack's label says, in short. */
export function factsOf({
  chemistry,
  series,
  parallel,
  ratedCapacityMah,
  labelContinuousC,
  labelBurstC,
  massGrams,
  connector,
}: View<"PackView">): string[] {
  return [
    `${series}S${parallel > 1 ? `${parallel}P` : ""} ${chemistry}`,
    `${ratedCapacityMah} mAh`,
    labelContinuousC ? `${labelContinuousC}C continuous` : "no continuous rating",
    ...(labelBurstC ? [`${labelBurstC}C burst`] : []),
    massGrams ? `${massGrams} g` : "no mass",
    ...(connector ? [connector] : []),
  ];
}
