import type { View } from "../api/public-api.js";
import { type Html, html } from "./html.js";

export const CHEMISTRIES: Readonly<Record<View<"PackView">["chemistry"], string>> = {
  lipo: "LiPo",
  lihv: "LiHV",
  liion: "Li-ion",
  lifepo4: "LiFePO\u2084",
};

/** A class as people say it, such as "4S LiPo". */
export const className = ({ chemistry, series }: Pick<View<"PackView">, "chemistry" | "series">): string =>
  `${series}S ${CHEMISTRIES[chemistry]}`;

/** Maker and name as text that keeps its own direction. */
export const packName = ({ maker, name }: Pick<View<"PackView">, "maker" | "name">): Html =>
  html`<bdi>${maker}</bdi> <bdi>${name}</bdi>`;

/** What the label says: capacity, continuous rating. */
export function labelOf({ ratedCapacityMah, labelContinuousC, parallel }: View<"PackView">): string {
  const rating = labelContinuousC === null || labelContinuousC === undefined ? [] : [`${labelContinuousC}C`];
  return [`${ratedCapacityMah} mAh`, ...(parallel > 1 ? [`${parallel}P`] : []), ...rating].join(" \u00b7 ");
}
