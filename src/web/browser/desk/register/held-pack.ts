import type { Listed, View } from "../../service/view.js";
import type { DeskWork } from "../desk-work.js";

type Pack = View<"PackView">;
type Run = View<"RunListItem">;
type Standing = View<"PackPlaceView">;

/** A pack with what is known of it, to be held against another one. */
export interface HeldPack {
  readonly pack: Pack;
  readonly runs: { readonly items: readonly Run[]; readonly count: string };
  readonly standings: readonly Standing[];
}

/** What of a label figures and classes depend on. */
export const JUDGED: readonly { readonly member: keyof Pack; readonly label: string; readonly unit?: string }[] = [
  { member: "chemistry", label: "Chemistry" },
  { member: "series", label: "Cells in series" },
  { member: "parallel", label: "Strings in parallel" },
  { member: "ratedCapacityMah", label: "Rated capacity", unit: "mAh" },
  { member: "labelContinuousC", label: "Continuous rating", unit: "C" },
  { member: "labelBurstC", label: "Burst rating", unit: "C" },
  { member: "massGrams", label: "Mass", unit: "g" },
];

const MAX_RUNS = 50;
const MAX_STANDINGS = 100;

/** What is asked of a pack before it is merged: its label, its runs, its standings. */
export async function held(id: string, { session }: DeskWork): Promise<HeldPack> {
  const place = `/v1/packs/${encodeURIComponent(id)}`;
  const [pack, runs, standings] = await Promise.all([
    session.get<Pack>(place),
    session.get<Listed<Run>>(`${place}/runs?first=${MAX_RUNS}`),
    session.get<Listed<Standing>>(`${place}/standings?first=${MAX_STANDINGS}`),
  ]);
  const { length } = runs.items;
  const count = `${length}${runs.pageInfo.hasNextPage ? " and more" : ""} accepted ${length === 1 ? "run" : "runs"}`;
  return { pack, runs: { items: runs.items, count }, standings: standings.items };
}
