import type { View } from "../../api/public-api.js";
import type { PageRequest } from "../../page.js";

/** What a ranking is of. */
export interface RankingChoice {
  readonly figure: View<"FigureDefinitionView">;
  readonly ofClass: View<"PackClassView">;
  /** A; null under the runs' own loads, or where the class has none. */
  readonly load: number | null;
  readonly figures: readonly View<"FigureDefinitionView">[];
  readonly classes: readonly View<"PackClassView">[];
}

const USUAL_FIGURE = "power-10s";
const MOST = 100;

/** Reads what is asked for, and takes the best known class and load in place of what is not. Null while there are no results. */
export async function chooseRanking({ api, query }: PageRequest): Promise<RankingChoice | null> {
  const { items: figures } = await api.get("/v1/figures", { query: { ranked: true, first: MOST } });
  const figure = figures.find(({ key }) => key === (query.get("figure") ?? USUAL_FIGURE)) ?? figures[0];
  if (!figure) return null;
  const { items: classes } = await api.get("/v1/classes", { query: { figure: figure.key, first: MOST } });
  const ofClass = classes.find((one) => classKey(one) === query.get("class")) ?? mostOf(classes, knownIn);
  if (!ofClass) return null;
  const asked = Number(query.get("load") ?? Number.NaN);
  const at = ofClass.loads.find(({ load }) => load === asked) ?? mostOf(ofClass.loads, known);
  return { figure, figures, classes, ofClass, load: at?.load ?? null };
}

/** A class in an address, such as "lipo-4". */
export const classKey = ({ chemistry, series }: View<"PackClassView">): string => `${chemistry}-${series}`;

/** Established standings weigh more than any number of provisional ones. */
const known = ({ standings, established }: View<"ClassLoadView">): number => established * 1_000 + standings;
const knownIn = ({ loads }: View<"PackClassView">): number => Math.max(0, ...loads.map(known));

function mostOf<T>(items: readonly T[], weight: (item: T) => number): T | undefined {
  return items.reduce<T | undefined>(
    (most, item) => (most === undefined || weight(item) > weight(most) ? item : most),
    undefined,
  );
}
